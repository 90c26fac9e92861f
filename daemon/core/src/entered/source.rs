//! What an uncertainty comes from.

use crate::finding::Cause;

/// What the uncertainty of an entered or combined figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// Reading of a tape, rule or calliper.
    TapeReading,
    /// Diameter at which toe was measured.
    Diameter,
    /// Height at which the rim was gauged, below the hub.
    GaugingHeight,
    /// Strings not parallel to the centreline.
    StringNotParallel,
    /// Distances from hub to string.
    StringToHub,
    /// Track, or width between the strings.
    Width,
    /// Wheelbase.
    Wheelbase,
    /// Run-out of rim, tyre or target that was not taken out.
    RunOut,
    /// Distance from the mirror to the screen.
    MirrorDistance,
    /// Place of the light's spot on the screen.
    SpotReading,
    /// Beam not square to the centreline.
    BeamNotSquare,
    /// Reading of the drive-over slip plate.
    SlipPlate,
    /// Side forces of the tyre that are no toe: camber thrust, conicity, plysteer.
    TyreSideForce,
    /// Reading of a turn plate.
    PlateReading,
    /// Reading of the steering wheel's angle.
    SteeringWheelReading,
    /// Steering ratio.
    SteeringRatio,
    /// What happens between two measured pairs of steer angles.
    Interpolation,
    /// Spacing of the kingpins at the ground.
    KingpinSpacing,
    /// Radius from hub to ground.
    WheelRadius,
    /// Offsets of the steering axis at hub height.
    AxisOffset,
    /// Slope of the frame.
    FrameAngle,
    /// A figure taken from the maker's data.
    MakersData,
    /// Angles with their own budget elsewhere, taken together.
    SensedAngles,
    /// A cause in an angle that the boards measured.
    Sensed(Cause),
}

impl Source {
    /// Whether left and right have one and the same error of it.
    pub(crate) const fn both_sides_alike(self) -> bool {
        matches!(
            self,
            Self::Sensed(Cause::Floor | Cause::BodyMotion)
                | Self::FrameAngle
                | Self::Wheelbase
                | Self::SteeringRatio
                | Self::KingpinSpacing
        )
    }
}
