//! What reaches the core from a board, and what leaves it towards a person.

use crate::angle::Angle;
use crate::frames::{Board, Vec3};
use crate::time::HostTime;

/// One reading as the board sent it, placed on the daemon's time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RawSample {
    /// When it was taken, by the fitted device clock.
    pub at: HostTime,
    /// Specific force in standard gravities; (0, 0, +1) lying still with z up.
    pub accel_g: Vec3<Board>,
    /// Angular rate, rad/s; none on a board without gyro.
    pub rate_radps: Option<Vec3<Board>>,
    /// Chip temperature, °C.
    pub temperature_c: Option<f64>,
}

/// What a resting board feels that sits at this roll and pitch (Z-Y-X order, Z up):
/// for boards that tell angles only, see [`ChipFigures::ANGLES`](crate::chip::ChipFigures::ANGLES).
pub fn felt_at(roll: Angle, pitch: Angle) -> Vec3<Board> {
    Vec3::new(
        -pitch.sin(),
        roll.sin() * pitch.cos(),
        roll.cos() * pitch.cos(),
    )
}

/// One reading after the board's calibration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// When it was taken.
    pub at: HostTime,
    /// Specific force in standard gravities.
    pub accel_g: Vec3<Board>,
    /// Angular rate, rad/s. Its rest offset is still in it: that changes from
    /// minute to minute and is taken at each rest.
    pub rate_radps: Option<Vec3<Board>>,
    /// Chip temperature, °C.
    pub temperature_c: Option<f64>,
}

/// Why there is no value to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// The board is not there.
    Absent,
    /// The last value is too old.
    Stale,
    /// The board is at the end of its range.
    Saturated,
    /// An axis of its chip hangs.
    Stuck,
    /// Its clock jumps to and fro: two boards talk on one line, or its bytes arrive wrong.
    Torn,
    /// Numbers change on its line, which has no check sum.
    Garbled,
    /// Its gyro and its accelerometer tell of different turns.
    AtOdds,
    /// The hub moves too much for gravity to be seen.
    Moving,
    /// Too few readings yet.
    Settling,
    /// Nobody has said how the board sits on its hub.
    Unmounted,
}

impl Missing {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Absent => "absent",
            Self::Stale => "stale",
            Self::Saturated => "saturated",
            Self::Stuck => "stuck",
            Self::Torn => "torn",
            Self::Garbled => "garbled",
            Self::AtOdds => "at_odds",
            Self::Moving => "moving",
            Self::Settling => "settling",
            Self::Unmounted => "unmounted",
        }
    }
}

/// A value with its time, or the reason why there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Live<T> {
    /// There is a value.
    Known {
        /// The value.
        value: T,
        /// Time of the newest reading in it.
        at: HostTime,
    },
    /// There is none.
    Missing(Missing),
}

/// Does the hub rest?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Motion {
    /// It rests.
    Still,
    /// It moves.
    Moving,
    /// Too few readings yet to say.
    Unknown,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_are_the_way_gravity_points() {
        let check = |roll_deg: f64, pitch_deg: f64, expected: [f64; 3]| {
            let felt = felt_at(Angle::from_deg(roll_deg), Angle::from_deg(pitch_deg));
            let off = felt - Vec3::from_array(expected);
            assert!(off.norm() < 1e-12, "{roll_deg} {pitch_deg}: {felt:?}");
        };
        check(0.0, 0.0, [0.0, 0.0, 1.0]);
        check(90.0, 0.0, [0.0, 1.0, 0.0]);
        check(180.0, 0.0, [0.0, 0.0, -1.0]);
        // Nose down by the right-hand rule about Y: the board's X points down.
        check(0.0, 90.0, [-1.0, 0.0, 0.0]);
        check(30.0, -30.0, [0.5, 0.75f64.sqrt() * 0.5, 0.75]);
    }
}
