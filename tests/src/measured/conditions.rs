//! What differs between series of trials.

use hubplumb_core::chip::ChipFigures;

/// Class of the chip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chip {
    /// Without error.
    Ideal,
    /// A quiet six-axis chip, calibrated.
    Good,
    /// A noisy six-axis chip, calibrated.
    Cheap,
    /// An accelerometer made for tilt, no gyro, calibrated.
    Inclinometer,
    /// The cheap chip out of the bag.
    Raw,
}

impl Chip {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Ideal,
        Self::Good,
        Self::Cheap,
        Self::Inclinometer,
        Self::Raw,
    ];

    /// Its name in tables.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ideal => "ideal",
            Self::Good => "good",
            Self::Cheap => "cheap",
            Self::Inclinometer => "inclinometer",
            Self::Raw => "raw",
        }
    }

    /// The simulator's preset of it.
    pub(super) const fn preset(self) -> &'static str {
        match self {
            Self::Ideal => "ideal",
            Self::Good => "good",
            Self::Cheap => "cheap",
            Self::Inclinometer => "inclinometer",
            Self::Raw => "raw-cheap",
        }
    }

    /// What the program takes it for.
    pub(super) const fn figures(self) -> ChipFigures {
        match self {
            Self::Ideal => ChipFigures::IDEAL,
            Self::Good => ChipFigures::GOOD,
            Self::Cheap => ChipFigures::CHEAP,
            Self::Inclinometer => ChipFigures::INCLINOMETER,
            Self::Raw => ChipFigures::RAW,
        }
    }
}

/// What is wrong besides the plate readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Conditions {
    /// The noise of the chip, and nothing else; the program knows that.
    Noise,
    /// All errors of the chip.
    Chip,
    /// Those, and a floor and a toe that were measured with errors.
    Operator,
}

impl Conditions {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Noise, Self::Chip, Self::Operator];

    /// Its name in tables.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Noise => "noise",
            Self::Chip => "chip",
            Self::Operator => "operator",
        }
    }

    /// The class as the program knows it under these conditions.
    pub(super) fn figures(self, chip: Chip) -> ChipFigures {
        let figures = chip.figures();
        match self {
            Self::Chip | Self::Operator => figures,
            Self::Noise => ChipFigures {
                accel_noise_g_rthz: figures.accel_noise_g_rthz,
                accel_step_g: figures.accel_step_g,
                gyro_noise_radps_rthz: figures.gyro_noise_radps_rthz,
                ..ChipFigures::IDEAL
            },
        }
    }
}

/// How the job is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Run-out of the jacked wheel, then the swing, every rest named.
    Stops,
    /// The same after the board was turned end for end on the hub.
    Reversed,
    /// The wheels are swept to both sides and back without a stop, 14 s from side to side.
    Swept,
    /// As with stops, by a board that tells roll and pitch only.
    AnglesOnly,
}
