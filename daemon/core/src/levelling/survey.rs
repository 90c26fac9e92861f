//! The floor's slope from a survey of the four pads.
//!
//! By heights: a plane through the four pads by weighted least squares, and
//! what is left is the twist: one pad of each diagonal high. No plane has it,
//! every axle does, so it is told and widens the slope. By a board on a
//! straight-edge between two pads, turned end for end: half the difference of
//! its leans is the slope along the edge, free of the board's offset
//! ([`Reversal`](crate::calibrate::Reversal)).

use nalgebra::{Matrix3, Vector3};
use thiserror::Error;

use crate::angle::Angle;
use crate::calibrate::{NotReversed, Pose, Reversal, ReversalSetup};
use crate::estimate::Estimate;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir};
use crate::mounting::BoardAxis;

/// No car stands on a floor that falls more (a tenth of its wheelbase).
const STEEPEST: Angle = Angle::from_deg(6.0);
/// Tracks and wheelbases of anything with wheels, mm.
const LENGTHS_MM: std::ops::RangeInclusive<f64> = 500.0..=10_000.0;

/// Heights of the four tyre contact patches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PadHeights {
    /// Front left, front right, rear left, rear right, mm, + higher; from any zero.
    pub heights_mm: [f64; 4],
    /// One sigma of each, mm.
    pub standard_mm: [f64; 4],
    /// Distance of the front pads' middles, mm.
    pub track_front_mm: f64,
    /// Distance of the rear pads' middles, mm.
    pub track_rear_mm: f64,
    /// Distance of the axles, mm.
    pub wheelbase_mm: f64,
}

/// A surveyed floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorSurvey {
    /// The slope, with all of its uncertainty.
    pub slope: FloorSlope,
    /// How far a pad lies off the plane of the four, mm: front left and rear
    /// right high is +. None where it was not looked at.
    pub twist_mm: Option<f64>,
}

/// Why a survey gives no slope.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SurveyError {
    /// A length that no car has.
    #[error("{found_mm} mm is no track or wheelbase")]
    Length {
        /// What was given, mm.
        found_mm: f64,
    },
    /// An uncertainty that is none, or a height that is no number.
    #[error("{found_mm} mm is no height or no uncertainty of one")]
    Height {
        /// What was given, mm.
        found_mm: f64,
    },
    /// A slope that no car is measured on.
    #[error("the floor would fall by {found_deg:.1}°, {limit_deg:.0}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    TooSteep {
        /// The slope.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// No line across the car, or none along it.
    #[error("slopes across and along the car are needed, {across} and {along} are there")]
    Lines {
        /// Lines across.
        across: usize,
        /// Lines along.
        along: usize,
    },
}

impl PadHeights {
    /// Where the pads lie: forward and left of the middle, mm.
    fn places(&self) -> [[f64; 2]; 4] {
        let (x, front, rear) = (
            0.5 * self.wheelbase_mm,
            0.5 * self.track_front_mm,
            0.5 * self.track_rear_mm,
        );
        [[x, front], [x, -front], [-x, rear], [-x, -rear]]
    }

    fn check(&self) -> Result<(), SurveyError> {
        for found_mm in [self.track_front_mm, self.track_rear_mm, self.wheelbase_mm] {
            if !LENGTHS_MM.contains(&found_mm) {
                return Err(SurveyError::Length { found_mm });
            }
        }
        let heights = self.heights_mm.iter().filter(|h| !h.is_finite());
        // Written so that what is no number is refused too.
        let standards = self
            .standard_mm
            .iter()
            .filter(|s| !(**s > 0.0 && s.is_finite()));
        match heights.chain(standards).next() {
            Some(found_mm) => Err(SurveyError::Height {
                found_mm: *found_mm,
            }),
            None => Ok(()),
        }
    }
}

/// The floor by the heights of the four pads.
pub fn by_heights(pads: &PadHeights) -> Result<FloorSurvey, SurveyError> {
    pads.check()?;
    let mut normal = Matrix3::zeros();
    let mut right = Vector3::zeros();
    let places = pads.places();
    for (index, [x, y]) in places.iter().enumerate() {
        let row = Vector3::new(*x, *y, 1.0);
        let weight = pads.standard_mm[index].powi(-2);
        normal += row * row.transpose() * weight;
        right += row * (pads.heights_mm[index] * weight);
    }
    // Four pads at the corners of a trapezium are never on one line.
    let inverse = normal.try_inverse().ok_or(SurveyError::Length {
        found_mm: pads.wheelbase_mm,
    })?;
    let plane = inverse * right;
    let residual = |index: usize| {
        let [x, y] = places[index];
        pads.heights_mm[index] - plane.dot(&Vector3::new(x, y, 1.0))
    };
    let twist_mm = 0.25 * (residual(0) - residual(1) - residual(2) + residual(3));
    let worst_mm = (0..4).map(|i| residual(i).abs()).fold(0.0, f64::max);
    // An axle's own pads lie this much steeper than the plane.
    let roll_twist = 2.0 * worst_mm / pads.track_front_mm.min(pads.track_rear_mm);
    let pitch_twist = 2.0 * worst_mm / pads.wheelbase_mm;
    let slope = slope(plane[0], plane[1]);
    let found = Angle::from_rad(plane[0].hypot(plane[1]).atan());
    if found > STEEPEST {
        return Err(SurveyError::TooSteep {
            found,
            limit: STEEPEST,
        });
    }
    // Within the steepest slope an angle and its tangent differ by 1 %.
    Ok(FloorSurvey {
        slope: FloorSlope {
            roll: Estimate::new(
                slope.0,
                Angle::from_rad(inverse[(1, 1)].sqrt().hypot(roll_twist)),
            ),
            pitch: Estimate::new(
                slope.1,
                Angle::from_rad(inverse[(0, 0)].sqrt().hypot(pitch_twist)),
            ),
        },
        twist_mm: Some(twist_mm),
    })
}

/// Roll and pitch, in the order of [`FloorSlope`], of the plane
/// `z = forward · x + left · y`.
fn slope(forward: f64, left: f64) -> (Angle, Angle) {
    (
        Angle::from_rad((left / forward.hypot(1.0)).atan()),
        Angle::from_rad(-forward.atan()),
    )
}

/// A line between two pads that was surveyed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Line {
    /// From the front right pad to the front left one.
    Front,
    /// From the rear right pad to the rear left one.
    Rear,
    /// From the rear left pad to the front left one.
    Left,
    /// From the rear right pad to the front right one.
    Right,
}

impl Line {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Front, Self::Rear, Self::Left, Self::Right];

    const fn is_across(self) -> bool {
        matches!(self, Self::Front | Self::Rear)
    }
}

/// A board that sits on a straight-edge the same way twice does so within this,
/// one sigma (common practice, no source).
const SEAT: Angle = Angle::from_deg(0.02);

/// Slope of a straight-edge from a board lying on it, before and after edge and
/// board were turned end for end: + where the end that `along` pointed to in
/// the first pose is higher.
pub fn edge_slope(along: BoardAxis, first: &Pose, second: &Pose) -> Result<Estimate, NotReversed> {
    let sensing = along.dir();
    // Turned about what is upright there: the printed axis nearest to it.
    let (a, b) = sensing.square_pair();
    let upright = |axis: &Dir<Board>| axis.vec().dot(&first.accel_g).abs();
    let about = if upright(&a) > upright(&b) { a } else { b };
    let setup = ReversalSetup::new(sensing, about, SEAT)?;
    Ok(Reversal::between(&setup, first, second)?.lean)
}

/// The floor by slopes of lines between pads, each + where its left or front
/// end is higher.
///
/// Two lines the same way agree but for twist: half of what they differ by is
/// added to the uncertainty.
pub fn by_lines(lines: &[(Line, Estimate)]) -> Result<FloorSurvey, SurveyError> {
    let of = |across: bool| -> Vec<Estimate> {
        lines
            .iter()
            .filter(|(line, _)| line.is_across() == across)
            .map(|(_, slope)| *slope)
            .collect()
    };
    let (across, along) = (of(true), of(false));
    let (Some(left), Some(forward)) = (mean(&across), mean(&along)) else {
        return Err(SurveyError::Lines {
            across: across.len(),
            along: along.len(),
        });
    };
    for found in lines.iter().map(|(_, slope)| slope.value.abs()) {
        if found > STEEPEST {
            return Err(SurveyError::TooSteep {
                found,
                limit: STEEPEST,
            });
        }
    }
    let (roll, pitch) = slope(forward.value.tan(), left.value.tan());
    Ok(FloorSurvey {
        slope: FloorSlope {
            roll: Estimate::new(roll, left.standard),
            pitch: Estimate::new(pitch, forward.standard),
        },
        twist_mm: None,
    })
}

/// Weighted mean, with half the spread added; none of nothing.
fn mean(slopes: &[Estimate]) -> Option<Estimate> {
    /// A certain slope keeps its weight finite, rad.
    const LEAST: f64 = 1e-7;
    let weight = |slope: &Estimate| slope.standard.rad().max(LEAST).powi(-2);
    let total: f64 = slopes.iter().map(weight).sum();
    if slopes.is_empty() {
        return None;
    }
    let value = slopes.iter().fold(Angle::ZERO, |sum, slope| {
        sum + slope.value * (weight(slope) / total)
    });
    let spread = slopes
        .iter()
        .map(|slope| (slope.value - value).abs().rad())
        .fold(0.0, f64::max);
    Some(Estimate::new(
        value,
        Angle::from_rad(total.recip().sqrt().hypot(spread)),
    ))
}
