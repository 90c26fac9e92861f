//! What became of a car over its visits.

use maud::{Markup, html};

use super::chart::{Chart, at};
use super::{figure, part};
use crate::http::history_views::{PastFigureView, PastVisitView};
use crate::text;
use crate::text::Text;
use crate::visit::{Place, Quantity};

const BOX: (f64, f64) = (330.0, 150.0);

/// What is drawn: a quantity, its left or only place, its right place.
const DRAWN: [(Quantity, Place, Option<Place>, Text); 6] = [
    (
        Quantity::Camber,
        Place::FrontLeft,
        Some(Place::FrontRight),
        text!("Camber, front"),
    ),
    (
        Quantity::Camber,
        Place::RearLeft,
        Some(Place::RearRight),
        text!("Camber, rear"),
    ),
    (
        Quantity::Caster,
        Place::FrontLeft,
        Some(Place::FrontRight),
        text!("Caster"),
    ),
    (
        Quantity::Sai,
        Place::FrontLeft,
        Some(Place::FrontRight),
        text!("Steering axis inclination"),
    ),
    (
        Quantity::TotalToe,
        Place::Front,
        None,
        text!("Total toe, front"),
    ),
    (
        Quantity::TotalToe,
        Place::Rear,
        None,
        text!("Total toe, rear"),
    ),
];

/// `history` has the oldest visit first.
pub(super) fn section(history: &[PastVisitView]) -> Markup {
    let plots: Vec<Markup> = DRAWN
        .iter()
        .filter_map(|(quantity, left, right, title)| plot(history, *quantity, *left, *right, title))
        .collect();
    let body = html! {
        @if plots.is_empty() {
            p.small { (text!("No other visit of this car with such figures is kept.")) }
        } @else {
            div.charts { @for plot in plots { (plot) } }
            p.small { (text!("The car as it left each time. Full line and dots: left, or the axle; dashed line and squares: right. Bars: ±. Grey: the limits of the newest visit.")) }
        }
    };
    part("history", &text!("This car over its visits"), &body)
}

/// A plot; none unless two visits have something to show.
fn plot(
    visits: &[PastVisitView],
    quantity: Quantity,
    left: Place,
    right: Option<Place>,
    title: &Text,
) -> Option<Markup> {
    let with: Vec<&PastVisitView> = visits
        .iter()
        .filter(|visit| {
            [Some(left), right]
                .into_iter()
                .flatten()
                .any(|place| visit.left(quantity, place).is_some())
        })
        .collect();
    if with.len() < 2 {
        return None;
    }
    let series = |place: Place| -> Vec<(f64, PastFigureView)> {
        with.iter()
            .enumerate()
            .filter_map(|(index, visit)| Some((index as f64, visit.left(quantity, place)?.clone())))
            .collect()
    };
    let lines: Vec<(bool, Vec<(f64, PastFigureView)>)> = [(false, Some(left)), (true, right)]
        .into_iter()
        .filter_map(|(is_right, place)| Some((is_right, series(place?))))
        .collect();
    let limits = lines
        .iter()
        .filter_map(|(_, points)| points.last())
        .find_map(|(_, finding)| finding.limits);
    let (low, high) = limits.map_or((None, None), |limits| (limits.low, limits.high));
    let y = lines
        .iter()
        .flat_map(|(_, points)| points)
        .flat_map(|(_, f)| [f.value - f.expanded, f.value + f.expanded])
        .chain(low)
        .chain(high);
    let x = [-0.35, with.len() as f64 - 0.65].into_iter();
    let chart = Chart::over(BOX, x, y)?;
    let (from, to) = chart.sides_box();
    let days: Vec<&str> = with
        .iter()
        .map(|visit| figure::day(&visit.began_at))
        .collect();
    Some(html! {
        figure {
            svg.chart viewBox=(format!("0 0 {} {}", chart.width_box, chart.height_box)) role="img" aria-label=(title) {
                @if let (Some(low), Some(high)) = (low, high) {
                    rect x=(at(from)) width=(at(to - from)) y=(at(chart.y_box(high))) height=(at(chart.y_box(low) - chart.y_box(high))) fill="#e2e2e2" {}
                }
                (chart.frame(&format!("{title}, {}", quantity.unit().sign().trim())))
                // More dates than this run into each other.
                (chart.named(days.iter().enumerate().filter(|(index, _)| days.len() <= 5 || *index == 0 || *index == days.len() - 1).map(|(index, day)| (index as f64, *day))))
                @for (is_right, points) in &lines {
                    (chart.line(points.iter().map(|(x, f)| (*x, f.value)), *is_right))
                    @for (x, f) in points {
                        // Side by side, or they would hide each other.
                        (chart.point(*x + if *is_right { 0.04 } else { -0.04 }, f.value, f.expanded, *is_right))
                    }
                }
            }
            figcaption { (title) }
        }
    })
}
