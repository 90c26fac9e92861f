//! The frame of a plot: axes with round figures, and places of points in it.

use maud::{Markup, html};

use crate::text::Language;

/// Most marks on an axis.
const MOST_TICKS: f64 = 7.0;

/// A plot's frame. Lengths are in units of its box, x right, y down.
#[derive(Debug, Clone)]
pub(super) struct Chart {
    pub(super) width_box: f64,
    pub(super) height_box: f64,
    left_box: f64,
    bottom_box: f64,
    x: Range,
    y: Range,
}

/// What an axis spans.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Range {
    low: f64,
    high: f64,
}

impl Range {
    /// A little more than all finite values; none where there are none.
    fn over(values: impl Iterator<Item = f64>) -> Option<Self> {
        let (low, high) = values
            .filter(|value| value.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                (low.min(value), high.max(value))
            });
        if low > high {
            return None;
        }
        let edge = if high > low { (high - low) * 0.06 } else { 0.5 };
        Some(Self {
            low: low - edge,
            high: high + edge,
        })
    }

    fn share(self, value: f64) -> f64 {
        ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }

    /// Round figures within, and the places behind the point that they need.
    fn ticks(self) -> (Vec<f64>, usize) {
        let raw = (self.high - self.low) / MOST_TICKS;
        let power = raw.log10().floor();
        let ten = 10f64.powf(power);
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|round| round * ten)
            .find(|step| *step >= raw)
            .unwrap_or(10.0 * ten);
        let mut ticks = Vec::new();
        // The nudges keep an end that is a round figure itself.
        let mut number = (self.low / step - 1e-9).ceil();
        while number * step <= self.high + step * 1e-9 && ticks.len() < 16 {
            ticks.push(number * step);
            number += 1.0;
        }
        let places = (0..6)
            .find(|places| {
                let scaled = step * 10f64.powi(*places);
                (scaled - scaled.round()).abs() < 1e-6
            })
            .unwrap_or(6);
        (ticks, usize::try_from(places).unwrap_or(0))
    }
}

impl Chart {
    /// A frame in which all of these have a place; none where there is nothing to place.
    pub(super) fn over(
        (width_box, height_box): (f64, f64),
        x: impl Iterator<Item = f64>,
        y: impl Iterator<Item = f64>,
    ) -> Option<Self> {
        Some(Self {
            width_box,
            height_box,
            left_box: 46.0,
            bottom_box: 34.0,
            x: Range::over(x)?,
            y: Range::over(y)?,
        })
    }

    pub(super) fn x_box(&self, value: f64) -> f64 {
        let room = self.width_box - self.left_box - 6.0;
        self.left_box + self.x.share(value) * room
    }

    pub(super) fn y_box(&self, value: f64) -> f64 {
        let room = self.height_box - self.bottom_box - 6.0;
        6.0 + (1.0 - self.y.share(value)) * room
    }

    fn floor_box(&self) -> f64 {
        self.height_box - self.bottom_box
    }

    /// Left and right end of the frame.
    pub(super) fn sides_box(&self) -> (f64, f64) {
        (self.left_box, self.width_box - 6.0)
    }

    /// Frame and upright axis.
    pub(super) fn frame(&self, up: &str) -> Markup {
        let (ticks, places) = self.y.ticks();
        let (left, right) = self.sides_box();
        let middle = f64::midpoint(6.0, self.floor_box());
        html! {
            @for tick in ticks {
                line x1=(at(left)) x2=(at(right)) y1=(at(self.y_box(tick))) y2=(at(self.y_box(tick))) stroke="#b5b5b5" stroke-width="0.6" {}
                text x=(at(left - 4.0)) y=(at(self.y_box(tick) + 3.0)) text-anchor="end" { (number(tick, places)) }
            }
            path d=(format!("M{left} 6V{:.1}H{right}", self.floor_box())) fill="none" stroke="black" stroke-width="1" {}
            text transform=(format!("translate(9 {middle:.1}) rotate(-90)")) text-anchor="middle" { (up) }
        }
    }

    /// Figures along the level axis.
    pub(super) fn along(&self, words: &str) -> Markup {
        let (ticks, places) = self.x.ticks();
        let floor = self.floor_box();
        let (left, right) = self.sides_box();
        html! {
            @for tick in ticks {
                line x1=(at(self.x_box(tick))) x2=(at(self.x_box(tick))) y1=(at(floor)) y2=(at(floor + 4.0)) stroke="black" stroke-width="0.8" {}
                text x=(at(self.x_box(tick))) y=(at(floor + 14.0)) text-anchor="middle" { (number(tick, places)) }
            }
            text x=(at(f64::midpoint(left, right))) y=(at(self.height_box - 5.0)) text-anchor="middle" { (words) }
        }
    }

    /// Words at places along the level axis.
    pub(super) fn named<'a>(&self, names: impl Iterator<Item = (f64, &'a str)>) -> Markup {
        let floor = self.floor_box();
        html! {
            @for (place, name) in names {
                line x1=(at(self.x_box(place))) x2=(at(self.x_box(place))) y1=(at(floor)) y2=(at(floor + 4.0)) stroke="black" stroke-width="0.8" {}
                text x=(at(self.x_box(place))) y=(at(floor + 14.0)) text-anchor="middle" { (name) }
            }
        }
    }

    /// A point with its ±. What is of the right side is hollow and square.
    pub(super) fn point(&self, x: f64, y: f64, expanded: f64, right: bool) -> Markup {
        let (px, py) = (self.x_box(x), self.y_box(y));
        let (low, high) = (self.y_box(y - expanded), self.y_box(y + expanded));
        html! {
            path d=(format!("M{px:.1} {low:.1}V{high:.1}M{:.1} {low:.1}h6M{:.1} {high:.1}h6", px - 3.0, px - 3.0))
                fill="none" stroke="black" stroke-width="0.9" {}
            @if right {
                rect x=(at(px - 3.0)) y=(at(py - 3.0)) width="6" height="6" fill="white" stroke="black" stroke-width="1.2" {}
            } @else {
                circle cx=(at(px)) cy=(at(py)) r="3.2" fill="black" {}
            }
        }
    }

    /// A line through points. That of the right side is dashed.
    pub(super) fn line(&self, points: impl Iterator<Item = (f64, f64)>, right: bool) -> Markup {
        let points: Vec<String> = points
            .filter(|(x, y)| x.is_finite() && y.is_finite())
            .map(|(x, y)| format!("{:.1},{:.1}", self.x_box(x), self.y_box(y)))
            .collect();
        html! {
            @if points.len() > 1 {
                polyline points=(points.join(" ")) fill="none" stroke="black" stroke-width="1.4" stroke-dasharray=[right.then_some("5 3")] {}
            }
        }
    }
}

pub(super) fn at(length_box: f64) -> String {
    format!("{length_box:.1}")
}

fn number(value: f64, places: usize) -> String {
    let text = Language::at_hand().figure(&format!("{:.places$}", value.abs()));
    if value < 0.0 && text.chars().any(|letter| ('1'..='9').contains(&letter)) {
        format!("−{text}")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_have_round_figures() {
        for (low, high, ticks, places) in [
            (-21.0, 21.0, vec![-20.0, -10.0, 0.0, 10.0, 20.0], 0),
            (-1.2, 0.1, vec![-1.2, -1.0, -0.8, -0.6, -0.4, -0.2, 0.0], 1),
            (
                0.0,
                0.07,
                vec![0.0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07],
                2,
            ),
        ] {
            let (found, behind) = Range { low, high }.ticks();
            assert_eq!(behind, places, "{low} to {high}");
            assert_eq!(found.len(), ticks.len(), "{low} to {high}: {found:?}");
            for (found, tick) in found.iter().zip(&ticks) {
                assert!((found - tick).abs() < 1e-9, "{found} for {tick}");
            }
        }
    }

    #[test]
    fn up_is_up_and_nothing_leaves_the_frame() {
        let chart = Chart::over(
            (300.0, 200.0),
            [0.0, 10.0].into_iter(),
            [1.0, f64::NAN, 2.0].into_iter(),
        )
        .unwrap();
        assert!(chart.y_box(2.0) < chart.y_box(1.0));
        assert!(chart.x_box(10.0) > chart.x_box(0.0));
        assert!(chart.y_box(1e9) >= 6.0 && chart.x_box(1e9) <= 294.0);
        assert!(Chart::over((1.0, 1.0), std::iter::empty(), [1.0].into_iter()).is_none());
    }
}
