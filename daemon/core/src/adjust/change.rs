//! Changes of a wheel's angles.

use crate::angle::Angle;

/// An angle that adjusters move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WheelAngle {
    /// Caster, + top rearward.
    Caster,
    /// Camber, + top out.
    Camber,
    /// Toe of one wheel, + toe-in.
    Toe,
}

impl WheelAngle {
    /// All, in the order of work.
    pub const ALL: [Self; 3] = [Self::Caster, Self::Camber, Self::Toe];
}

/// A change of the angles of one wheel.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Change {
    /// Of camber.
    pub camber: Angle,
    /// Of caster.
    pub caster: Angle,
    /// Of toe.
    pub toe: Angle,
}

impl Change {
    /// A change of one angle alone.
    pub fn only(angle: WheelAngle, by: Angle) -> Self {
        let mut change = Self::default();
        match angle {
            WheelAngle::Camber => change.camber = by,
            WheelAngle::Caster => change.caster = by,
            WheelAngle::Toe => change.toe = by,
        }
        change
    }

    /// The change of one angle.
    pub const fn of(&self, angle: WheelAngle) -> Angle {
        match angle {
            WheelAngle::Camber => self.camber,
            WheelAngle::Caster => self.caster,
            WheelAngle::Toe => self.toe,
        }
    }

    /// Whether every part is a number.
    pub(super) fn is_finite(&self) -> bool {
        WheelAngle::ALL
            .iter()
            .all(|angle| self.of(*angle).rad().is_finite())
    }
}

/// What one unit of an adjuster does to one angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Effect {
    /// This change, per unit.
    Known(Angle),
    /// It changes, and by how much is not known: measure again.
    MeasureAgain,
}

impl Effect {
    /// None at all.
    pub const NONE: Self = Self::Known(Angle::ZERO);

    /// The known change of `amount` units.
    pub fn times(self, amount: f64) -> Option<Angle> {
        match self {
            Self::Known(per_unit) => Some(per_unit * amount),
            Self::MeasureAgain => None,
        }
    }
}

/// What one unit of an adjuster does to each angle of its wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PerUnit {
    /// To camber.
    pub camber: Effect,
    /// To caster.
    pub caster: Effect,
    /// To toe.
    pub toe: Effect,
}

impl PerUnit {
    /// Nothing is known of it.
    pub const UNKNOWN: Self = Self {
        camber: Effect::MeasureAgain,
        caster: Effect::MeasureAgain,
        toe: Effect::MeasureAgain,
    };

    /// The effect on one angle.
    pub const fn of(&self, angle: WheelAngle) -> Effect {
        match angle {
            WheelAngle::Camber => self.camber,
            WheelAngle::Caster => self.caster,
            WheelAngle::Toe => self.toe,
        }
    }

    /// This effect on `angle`, and the others not known.
    #[must_use]
    pub fn mainly(angle: WheelAngle, per_unit: Angle) -> Self {
        Self::UNKNOWN.with(angle, Effect::Known(per_unit))
    }

    /// The same with another effect on `angle`.
    #[must_use]
    pub fn with(mut self, angle: WheelAngle, effect: Effect) -> Self {
        match angle {
            WheelAngle::Camber => self.camber = effect,
            WheelAngle::Caster => self.caster = effect,
            WheelAngle::Toe => self.toe = effect,
        }
        self
    }
}

/// Which way to move an adjuster.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Way {
    /// Nothing to move.
    Leave,
    /// Make the rod longer.
    Lengthen,
    /// Make the rod shorter.
    Shorten,
    /// Add shims.
    AddShims,
    /// Take shims out.
    RemoveShims,
    /// Turn the eccentric's mark towards its + side.
    MarkTowardsPlus,
    /// Turn the eccentric's mark towards its − side.
    MarkTowardsMinus,
    /// Move the top of the knuckle out.
    TopOut,
    /// Move the top of the knuckle in.
    TopIn,
    /// Move the owner's adjuster in the direction counted +.
    OwnPlus,
    /// Move the owner's adjuster in the direction counted −.
    OwnMinus,
}

impl Way {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::Leave,
        Self::Lengthen,
        Self::Shorten,
        Self::AddShims,
        Self::RemoveShims,
        Self::MarkTowardsPlus,
        Self::MarkTowardsMinus,
        Self::TopOut,
        Self::TopIn,
        Self::OwnPlus,
        Self::OwnMinus,
    ];

    /// `plus` or `minus` by the sign of an amount.
    pub(super) fn by_sign(amount: f64, plus: Self, minus: Self) -> Self {
        if amount > 0.0 {
            plus
        } else if amount < 0.0 {
            minus
        } else {
            Self::Leave
        }
    }
}
