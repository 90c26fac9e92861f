//! What became of a car over its visits.

use maud::{Markup, html};

use super::chart::{Chart, at};
use super::{figure, part};
use crate::car::Limits;
use crate::http::visit_views::{VisitFindingView, VisitView};
use crate::text;
use crate::text::Text;
use crate::visit::{Place, Quantity, Stage};

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

/// A visit in the history of its car: the car as it left then.
#[derive(Debug, Clone, PartialEq)]
pub struct PastVisit {
    /// Number of the visit.
    pub id: i64,
    /// When it began, RFC 3339.
    pub began_at: String,
    /// What stood at its end.
    pub findings: Vec<PastFinding>,
}

/// What stood at the end of a visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PastFinding {
    /// Of what.
    pub quantity: Quantity,
    /// Where.
    pub place: Place,
    /// The value, in the quantity's unit.
    pub value: f64,
    /// Half width of its 95 % interval.
    pub expanded: f64,
    /// Limits of that time.
    pub limits: Option<Limits>,
}

impl PastVisit {
    /// Of each quantity and place what was measured in the latest part of the visit.
    pub fn of(visit: &VisitView) -> Self {
        let mut findings: Vec<&VisitFindingView> = visit.findings.iter().collect();
        let order = |stage: Stage| Stage::ALL.iter().position(|known| *known == stage);
        findings.sort_by_key(|finding| (order(finding.stage), finding.number));
        let mut last: Vec<PastFinding> = Vec::new();
        for finding in findings {
            last.retain(|known| (known.quantity, known.place) != (finding.quantity, finding.place));
            last.push(PastFinding {
                quantity: finding.quantity,
                place: finding.place,
                value: finding.value,
                expanded: finding.expanded,
                limits: finding.limits,
            });
        }
        Self {
            id: visit.id,
            began_at: visit.began_at.clone(),
            findings: last,
        }
    }

    fn found(&self, quantity: Quantity, place: Place) -> Option<&PastFinding> {
        self.findings
            .iter()
            .find(|finding| (finding.quantity, finding.place) == (quantity, place))
    }
}

pub(super) fn section(history: &[PastVisit]) -> Markup {
    let mut visits: Vec<&PastVisit> = history.iter().collect();
    visits.sort_by(|a, b| (&a.began_at, a.id).cmp(&(&b.began_at, b.id)));
    let plots: Vec<Markup> = DRAWN
        .iter()
        .filter_map(|(quantity, left, right, title)| plot(&visits, *quantity, *left, *right, title))
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
    visits: &[&PastVisit],
    quantity: Quantity,
    left: Place,
    right: Option<Place>,
    title: &Text,
) -> Option<Markup> {
    let with: Vec<&PastVisit> = visits
        .iter()
        .copied()
        .filter(|visit| {
            [Some(left), right]
                .into_iter()
                .flatten()
                .any(|place| visit.found(quantity, place).is_some())
        })
        .collect();
    if with.len() < 2 {
        return None;
    }
    let series = |place: Place| -> Vec<(f64, PastFinding)> {
        with.iter()
            .enumerate()
            .filter_map(|(index, visit)| Some((index as f64, *visit.found(quantity, place)?)))
            .collect()
    };
    let lines: Vec<(bool, Vec<(f64, PastFinding)>)> = [(false, Some(left)), (true, right)]
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
