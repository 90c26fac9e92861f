//! A finding with its ± against what the limits allow.

use maud::{Markup, html};

use crate::car::Limits;
use crate::http::visit_views::VisitFindingView;
use crate::text;

/// The picture's box; all `_box` lengths are in its units.
const WIDTH_BOX: f64 = 150.0;
const HEIGHT_BOX: f64 = 30.0;
const BEFORE_Y_BOX: f64 = 9.0;
const AFTER_Y_BOX: f64 = 21.0;
/// Kept free at both ends.
const EDGE_BOX: f64 = 5.0;

/// From values to the box.
#[derive(Debug, Clone, Copy)]
struct Scale {
    low: f64,
    span: f64,
}

impl Scale {
    /// A scale on which all of these have a place; none where there is nothing to place.
    fn over(values: &[f64]) -> Option<Self> {
        let finite = || values.iter().copied().filter(|value| value.is_finite());
        let low = finite().reduce(f64::min)?;
        let high = finite().reduce(f64::max)?;
        let span = high - low;
        // A single value stands in the middle.
        let (low, span) = if span > 0.0 {
            (low - span * 0.06, span * 1.12)
        } else {
            (low - 0.5, 1.0)
        };
        Some(Self { low, span })
    }

    fn x_box(self, value: f64) -> f64 {
        let share = ((value - self.low) / self.span).clamp(0.0, 1.0);
        EDGE_BOX + share * (WIDTH_BOX - 2.0 * EDGE_BOX)
    }
}

fn at(length_box: f64) -> String {
    format!("{length_box:.1}")
}

/// Before and after against the limits; nothing where there are no limits or no finding.
pub(super) fn picture(
    before: Option<&VisitFindingView>,
    after: Option<&VisitFindingView>,
    limits: Option<&Limits>,
) -> Markup {
    let found: Vec<&VisitFindingView> = before.into_iter().chain(after).collect();
    let Some(limits) = limits.filter(|_| !found.is_empty()) else {
        return html! {};
    };
    let mut values: Vec<f64> = [limits.low, limits.high, limits.target]
        .into_iter()
        .flatten()
        .collect();
    values.extend(
        found
            .iter()
            .flat_map(|f| [f.value - f.expanded, f.value + f.expanded]),
    );
    let Some(scale) = Scale::over(&values) else {
        return html! {};
    };
    // A limit that nobody told does not end the bar.
    let from = limits.low.map_or(0.0, |low| scale.x_box(low));
    let to = limits.high.map_or(WIDTH_BOX, |high| scale.x_box(high));
    let bounded = limits.low.is_some() || limits.high.is_some();
    html! {
        svg.band viewBox=(format!("0 0 {WIDTH_BOX} {HEIGHT_BOX}")) role="img" aria-label=(text!("before and after against the limits")) {
            @if bounded {
                rect x=(at(from)) y="1" width=(at(to - from)) height=(at(HEIGHT_BOX - 2.0)) fill="#dcdcdc" {}
            }
            @for limit in [limits.low, limits.high].into_iter().flatten() {
                line x1=(at(scale.x_box(limit))) x2=(at(scale.x_box(limit))) y1="0" y2=(at(HEIGHT_BOX)) stroke="black" stroke-width="1.2" {}
            }
            @if let Some(target) = limits.target {
                line x1=(at(scale.x_box(target))) x2=(at(scale.x_box(target))) y1="11" y2="19" stroke="black" stroke-width="0.9" {}
            }
            @if let Some(before) = before { (bar(scale, before, BEFORE_Y_BOX, false)) }
            @if let Some(after) = after { (bar(scale, after, AFTER_Y_BOX, true)) }
        }
    }
}

fn bar(scale: Scale, finding: &VisitFindingView, y_box: f64, after: bool) -> Markup {
    let from = scale.x_box(finding.value - finding.expanded);
    let to = scale.x_box(finding.value + finding.expanded);
    let (width, fill) = if after {
        ("2.2", "black")
    } else {
        ("1.1", "white")
    };
    html! {
        path d=(format!("M{from:.1} {y_box}H{to:.1}M{from:.1} {}v6M{to:.1} {}v6", y_box - 3.0, y_box - 3.0))
            fill="none" stroke="black" stroke-width=(width) {}
        circle cx=(at(scale.x_box(finding.value))) cy=(at(y_box)) r="3.1" fill=(fill) stroke="black" stroke-width="1.3" {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_has_a_place_within_the_box_and_in_order() {
        let scale = Scale::over(&[-1.0, 0.0, -1.4, f64::INFINITY]).unwrap();
        let places: Vec<f64> = [-1.4, -1.0, 0.0].map(|value| scale.x_box(value)).to_vec();
        assert!(places.is_sorted(), "{places:?}");
        assert!(places[0] > EDGE_BOX && places[2] < WIDTH_BOX - EDGE_BOX);
        assert!(scale.x_box(f64::INFINITY) <= WIDTH_BOX);
        let alone = Scale::over(&[0.3]).unwrap();
        assert!((alone.x_box(0.3) - WIDTH_BOX / 2.0).abs() < 1e-9);
        assert!(Scale::over(&[]).is_none());
    }
}
