//! Curves of the runs: what was measured with its ±, and what was fitted.

use maud::{Markup, html};

use super::chart::Chart;
use super::{figure, part};
use crate::http::visit_views::{CurveView, RunView, VisitView};
use crate::text;
use crate::visit::Place;

const BOX: (f64, f64) = (330.0, 200.0);

pub(super) fn section(visit: &VisitView) -> Markup {
    let curves: Vec<(&RunView, &CurveView)> = visit
        .runs
        .iter()
        .filter(|run| !run.taken_back)
        .filter_map(|run| run.curve.as_ref().map(|curve| (run, curve)))
        .collect();
    if curves.is_empty() {
        return html! {};
    }
    let body = html! {
        div.charts {
            @for (run, curve) in curves { (plot(run, curve)) }
        }
        p.small { (text!("Full line and dots: left. Dashed line and squares: right. Bars: the ± of each point; lines: what was fitted.")) }
    };
    part("curves", &text!("Curves"), &body)
}

const fn is_right(place: Place) -> bool {
    matches!(
        place,
        Place::FrontRight | Place::RearRight | Place::RightTurn
    )
}

fn plot(run: &RunView, curve: &CurveView) -> Markup {
    let lines = || curve.lines.iter();
    let x = lines().flat_map(|line| {
        let points = line.points.iter().map(|[x, _, _]| *x);
        points.chain(line.fitted.iter().map(|[x, _]| *x))
    });
    let y = lines().flat_map(|line| {
        let points = line
            .points
            .iter()
            .flat_map(|[_, y, half]| [y - half, y + half]);
        points.chain(line.fitted.iter().map(|[_, y]| *y))
    });
    let Some(chart) = Chart::over(BOX, x, y) else {
        return html! {};
    };
    let unit = |unit: &str| {
        if unit.is_empty() {
            String::new()
        } else {
            format!(", {}", unit.trim())
        }
    };
    html! {
        figure {
            svg.chart viewBox=(format!("0 0 {} {}", chart.width_box, chart.height_box)) role="img"
                aria-label=(text!("{up} against {along}", up = &curve.up, along = &curve.along)) {
                (chart.frame(&format!("{}{}", curve.up, unit(&curve.up_unit))))
                (chart.along(&format!("{}{}", curve.along, unit(&curve.along_unit))))
                @for line in lines() {
                    (chart.line(line.fitted.iter().map(|[x, y]| (*x, *y)), is_right(line.place)))
                    @for [x, y, half] in &line.points { (chart.point(*x, *y, *half, is_right(line.place))) }
                }
            }
            figcaption { (run.name) ", " (run.stage.words()) ", " (figure::time(&run.at)) }
        }
    }
}
