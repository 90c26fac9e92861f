//! The plumb-line pictures: the true vertical as a hanging string, the measured line
//! leaning against it by the measured angle times a stated factor.
//!
//! For so small a lean the head stands off by height × angle in radians; that is how it
//! is drawn, so a line leans on the paper by the stated multiple of its slope.

use maud::{Markup, html};

use super::part;
use super::rows::{Row, rows};
use crate::http::visit_views::{VisitFindingView, VisitView};
use crate::text;
use crate::text::{Text, plain};
use crate::visit::{Place, Quantity};

/// The picture's box; all `_box` lengths are in its units.
const WIDTH_BOX: f64 = 110.0;
const PEG_X_BOX: f64 = 55.0;
const PEG_Y_BOX: f64 = 12.0;
const FOOT_Y_BOX: f64 = 116.0;
const HEIGHT_BOX: f64 = 124.0;
const LINE_BOX: f64 = FOOT_Y_BOX - PEG_Y_BOX;

/// Lines never lean further than this on the paper, or they would leave the box.
const MOST_DRAWN_DEG: f64 = 24.0;
/// Factors a picture may use, most telling first.
const FACTORS: [f64; 4] = [10.0, 5.0, 2.0, 1.0];

/// The largest factor that keeps every angle inside the box.
fn factor_for(angles_deg: impl Iterator<Item = f64>) -> f64 {
    let largest_deg = angles_deg
        .filter(|angle| angle.is_finite())
        .fold(0.0, |most: f64, angle| most.max(angle.abs()));
    FACTORS
        .into_iter()
        .find(|factor| largest_deg * factor <= MOST_DRAWN_DEG)
        .unwrap_or(1.0)
}

/// How far from the string the head of a line stands.
fn head_x_box(angle_deg: f64, factor: f64, toward: f64) -> f64 {
    let drawn_deg = (angle_deg * factor).clamp(-MOST_DRAWN_DEG, MOST_DRAWN_DEG);
    PEG_X_BOX + toward * drawn_deg.to_radians() * LINE_BOX
}

/// Which way on the paper a positive angle leans: wheels are seen from behind the car,
/// caster from its left side.
fn toward(quantity: Quantity, place: Place) -> f64 {
    let is_left = place.corner().is_some_and(crate::car::Corner::is_left);
    match quantity {
        Quantity::Camber if is_left => -1.0,
        _ => 1.0,
    }
}

pub(super) fn section(visit: &VisitView) -> Markup {
    let rows = rows(visit);
    let drawn = |quantity: Quantity| -> Vec<&Row<'_>> {
        rows.iter()
            .filter(|row| row.quantity == quantity && row.newest().is_some())
            .collect()
    };
    let camber = drawn(Quantity::Camber);
    let caster = drawn(Quantity::Caster);
    if camber.is_empty() && caster.is_empty() {
        return html! {};
    }
    let body = html! {
        (line(&camber, &text!("Camber, each wheel seen from behind the car")))
        (line(&caster, &text!("Caster, each steering axis seen from the left side of the car, front to the left")))
        p.small {
            (text!(
                "Dashed with the bob: the true vertical. Thin line with a hollow head: before. \
                 Thick line with a full head: after. Grey wedge: its ±. Small brackets at the head: the limits."
            ))
        }
    };
    part("pictures", &text!("Against the plumb line"), &body)
}

fn line(rows: &[&Row<'_>], title: &Text) -> Markup {
    let factor = factor_for(rows.iter().flat_map(|row| {
        [row.before, row.after]
            .into_iter()
            .flatten()
            .map(|finding| finding.value)
    }));
    html! {
        @if !rows.is_empty() {
            div.keep {
                h3 { (text!("{title}, drawn ×{factor}", title, factor = plain(factor))) }
                div.pictures {
                    @for row in rows {
                        figure {
                            (picture(row, factor))
                            figcaption { (row.place.words()) }
                        }
                    }
                }
            }
        }
    }
}

fn picture(row: &Row<'_>, factor: f64) -> Markup {
    let toward = toward(row.quantity, row.place);
    let head = |angle_deg: f64| head_x_box(angle_deg, factor, toward);
    let newest = row.newest();
    html! {
        svg.plumb viewBox=(format!("0 0 {WIDTH_BOX} {HEIGHT_BOX}")) role="img"
            aria-label=(text!("{angle}, {place}, against the true vertical", angle = row.quantity.words(), place = row.place.words())) {
            @if let Some(finding) = newest {
                path fill="#cfcfcf" d=(format!(
                    "M{PEG_X_BOX} {FOOT_Y_BOX}L{:.1} {PEG_Y_BOX}L{:.1} {PEG_Y_BOX}Z",
                    head(finding.value - finding.expanded),
                    head(finding.value + finding.expanded),
                )) {}
                @if let Some(limits) = finding.limits {
                    @for (limit, out) in [(limits.low, -1.0), (limits.high, 1.0)] {
                        @if let Some(limit) = limit { (bracket(head(limit), -out * toward)) }
                    }
                }
            }
            line x1="10" x2="100" y1=(FOOT_Y_BOX) y2=(FOOT_Y_BOX) stroke="black" stroke-width="0.8" {}
            line x1=(PEG_X_BOX) x2=(PEG_X_BOX) y1="3" y2=(FOOT_Y_BOX - 14.0) stroke="black" stroke-width="1" stroke-dasharray="4 3" {}
            path d=(format!("M{} {}h6l.4 3L{PEG_X_BOX} {FOOT_Y_BOX}l-3.4-9z", PEG_X_BOX - 3.0, FOOT_Y_BOX - 12.0)) fill="black" {}
            // Where nothing was measured anew the line of before is the thick one of no other.
            @if let Some(before) = row.before { (measured(before, head(before.value), false)) }
            @if let Some(after) = row.after { (measured(after, head(after.value), true)) }
        }
    }
}

fn bracket(x_box: f64, inward: f64) -> Markup {
    let y_box = PEG_Y_BOX - 7.0;
    html! {
        path d=(format!("M{:.1} {y_box}h{}v12h{}", x_box + 3.0 * inward, -3.0 * inward, 3.0 * inward))
            fill="none" stroke="black" stroke-width="1.1" {}
    }
}

fn measured(finding: &VisitFindingView, head_box: f64, after: bool) -> Markup {
    let (width, fill) = if after {
        ("3", "black")
    } else {
        ("1.3", "white")
    };
    html! {
        g data-stage=(finding.stage.words().stored()) {
            line x1=(PEG_X_BOX) y1=(FOOT_Y_BOX) x2=(format!("{head_box:.1}")) y2=(PEG_Y_BOX)
                stroke="black" stroke-width=(width) {}
            circle cx=(format!("{head_box:.1}")) cy=(PEG_Y_BOX) r="3.4" fill=(fill) stroke="black" stroke-width="1.3" {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_lean_the_stated_multiple_and_stay_in_the_box() {
        let factor = factor_for([-0.5, 1.2].into_iter());
        assert_eq!(factor, 10.0);
        assert_eq!(factor_for([4.5].into_iter()), 5.0);
        assert_eq!(factor_for([40.0].into_iter()), 1.0);
        // 0.5° ten times over is a slope of 5°: 5 π/180 of the line's height.
        let off = head_x_box(0.5, factor, 1.0) - PEG_X_BOX;
        assert!((off - 0.087_266 * LINE_BOX).abs() < 1e-3, "{off}");
        for angle in [-90.0, 90.0] {
            let x = head_x_box(angle, 1.0, 1.0);
            assert!((4.0..=WIDTH_BOX - 4.0).contains(&x), "{x}");
        }
    }

    #[test]
    fn top_out_leans_outward_on_both_sides_as_seen_from_behind() {
        let head = |place| head_x_box(1.0, 10.0, toward(Quantity::Camber, place));
        assert!(head(Place::FrontLeft) < PEG_X_BOX);
        assert!(head(Place::RearRight) > PEG_X_BOX);
        // Seen from the left the rear is to the right.
        assert!(head_x_box(1.0, 5.0, toward(Quantity::Caster, Place::FrontLeft)) > PEG_X_BOX);
    }
}
