//! Causes, and how to check each.

use crate::side::Side;

/// How the front wheels are hung.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Suspension {
    /// Upper and lower arm.
    Wishbones,
    /// Strut and lower arm.
    Strut,
    /// A beam from side to side.
    SolidAxle,
    /// Not known.
    Unknown,
}

impl Suspension {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Wishbones, Self::Strut, Self::SolidAxle, Self::Unknown];

    /// The pivots that can be in a wrong place.
    pub(super) const fn pivots(self) -> &'static [Pivot] {
        match self {
            Self::Wishbones => &[Pivot::UpperArm, Pivot::LowerArm],
            Self::Strut => &[Pivot::LowerArm, Pivot::TowerIn, Pivot::TowerOut],
            Self::SolidAxle => &[Pivot::AxleBeam],
            Self::Unknown => &Pivot::ALL,
        }
    }
}

/// What holds an end of the steering axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Pivot {
    /// The upper arm, its pivot too far in: SAI high, camber low.
    UpperArm,
    /// The lower arm, its pivot too far in: SAI low, camber high.
    LowerArm,
    /// The strut's tower leaning in: SAI high, camber low.
    TowerIn,
    /// The strut's tower leaning out: SAI low, camber high.
    TowerOut,
    /// The beam of a solid axle, bent either way.
    AxleBeam,
}

impl Pivot {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::UpperArm,
        Self::LowerArm,
        Self::TowerIn,
        Self::TowerOut,
        Self::AxleBeam,
    ];
}

/// What can be behind deviations.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cause {
    /// A joint, bush or bearing with play.
    WornJoint,
    /// Springs, load or tyre pressures.
    RideHeight,
    /// Knuckle or spindle bent; at a strut also its tube.
    Knuckle(Side),
    /// A pivot of the steering axis moved sideways.
    PivotMoved(Pivot, Side),
    /// The same, and the knuckle bent too.
    PivotAndKnuckle(Pivot, Side),
    /// The cradle that carries both lower arms shifted sideways.
    CradleShifted,
    /// The lower pivot pushed rearward.
    LowerPivotRearward(Side),
    /// The steering arm bent.
    SteeringArm(Side),
    /// Rear axle or its cradle shifted or bent.
    RearAxle,
    /// Steering gear off its middle, or rods of unlike length.
    SteeringOffCentre,
}

impl Cause {
    /// The causes that angles can speak for, for a suspension.
    pub fn of(suspension: Suspension) -> Vec<Self> {
        let mut causes = Vec::new();
        for side in Side::BOTH {
            causes.push(Self::Knuckle(side));
            for pivot in suspension.pivots() {
                causes.push(Self::PivotMoved(*pivot, side));
                causes.push(Self::PivotAndKnuckle(*pivot, side));
            }
            causes.push(Self::SteeringArm(side));
            if suspension != Suspension::SolidAxle {
                causes.push(Self::LowerPivotRearward(side));
            }
        }
        if suspension != Suspension::SolidAxle {
            causes.push(Self::CradleShifted);
        }
        causes.extend([Self::RearAxle, Self::SteeringOffCentre]);
        causes
    }

    /// Every cause there is.
    pub fn all() -> Vec<Self> {
        let mut causes = vec![Self::WornJoint, Self::RideHeight];
        causes.extend(Self::of(Suspension::Unknown));
        causes
    }

    /// What to look at next.
    pub const fn next_check(self) -> NextCheck {
        match self {
            Self::WornJoint => NextCheck::FeelForPlay,
            Self::RideHeight => NextCheck::MeasureHeights,
            Self::Knuckle(_) => NextCheck::CompareKnuckles,
            Self::PivotMoved(Pivot::UpperArm, _) => NextCheck::CompareUpperArms,
            Self::PivotMoved(Pivot::LowerArm, _) => NextCheck::CompareLowerArms,
            Self::PivotMoved(Pivot::TowerIn | Pivot::TowerOut, _) => NextCheck::MeasureTowers,
            Self::PivotMoved(Pivot::AxleBeam, _) => NextCheck::SightAxleBeam,
            Self::PivotAndKnuckle(..) => NextCheck::PivotThenKnuckle,
            Self::CradleShifted => NextCheck::MeasureCradle,
            Self::LowerPivotRearward(_) => NextCheck::CompareWheelbases,
            Self::SteeringArm(_) => NextCheck::CompareSteeringArms,
            Self::RearAxle => NextCheck::MeasureRearAxle,
            Self::SteeringOffCentre => NextCheck::CentreSteering,
        }
    }
}

/// What to look at next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NextCheck {
    /// Feel every joint and bearing for play.
    FeelForPlay,
    /// Measure ride heights, load and tyre pressures.
    MeasureHeights,
    /// Compare the knuckles and strut tubes of both sides.
    CompareKnuckles,
    /// Compare the upper arms and their bushes.
    CompareUpperArms,
    /// Compare the lower arms and their bushes.
    CompareLowerArms,
    /// Measure across and along between the strut towers.
    MeasureTowers,
    /// Sight along the axle beam.
    SightAxleBeam,
    /// The pivot first; then see whether the included angle is still off.
    PivotThenKnuckle,
    /// Measure the cradle against the body on both sides.
    MeasureCradle,
    /// Compare wheelbases and the bushes of the lower arms.
    CompareWheelbases,
    /// Compare the steering arms, with toe set.
    CompareSteeringArms,
    /// Measure the rear axle against the body, and rear toe wheel by wheel.
    MeasureRearAxle,
    /// Count the steering wheel from lock to lock.
    CentreSteering,
}

impl NextCheck {
    /// All of them.
    pub const ALL: [Self; 13] = [
        Self::FeelForPlay,
        Self::MeasureHeights,
        Self::CompareKnuckles,
        Self::CompareUpperArms,
        Self::CompareLowerArms,
        Self::MeasureTowers,
        Self::SightAxleBeam,
        Self::PivotThenKnuckle,
        Self::MeasureCradle,
        Self::CompareWheelbases,
        Self::CompareSteeringArms,
        Self::MeasureRearAxle,
        Self::CentreSteering,
    ];
}
