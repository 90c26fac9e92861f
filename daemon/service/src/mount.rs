//! Where a board is strapped.

use crate::text;
use crate::text::Text;
use hubplumb_core::side::Side;

/// Where a board is strapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mount {
    /// Front left hub.
    FrontLeft,
    /// Front right hub.
    FrontRight,
    /// Rear left hub.
    RearLeft,
    /// Rear right hub.
    RearRight,
    /// On the body.
    Body,
}

impl Mount {
    /// All of them, front to rear, left before right.
    pub const ALL: [Self; 5] = [
        Self::FrontLeft,
        Self::FrontRight,
        Self::RearLeft,
        Self::RearRight,
        Self::Body,
    ];

    /// Name in configurations and scenarios.
    pub const fn name(self) -> &'static str {
        match self {
            Self::FrontLeft => "front_left",
            Self::FrontRight => "front_right",
            Self::RearLeft => "rear_left",
            Self::RearRight => "rear_right",
            Self::Body => "body",
        }
    }

    /// Name in a sentence.
    pub const fn words(self) -> Text {
        match self {
            Self::FrontLeft => text!("front left"),
            Self::FrontRight => text!("front right"),
            Self::RearLeft => text!("rear left"),
            Self::RearRight => text!("rear right"),
            Self::Body => text!("body"),
        }
    }

    /// The mount with that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mount| mount.name() == name)
    }

    /// Side of the car; the body has none.
    pub const fn side(self) -> Option<Side> {
        match self {
            Self::FrontLeft | Self::RearLeft => Some(Side::Left),
            Self::FrontRight | Self::RearRight => Some(Side::Right),
            Self::Body => None,
        }
    }

    /// Is it a steered wheel, which a steering swing turns?
    pub const fn is_steered(self) -> bool {
        matches!(self, Self::FrontLeft | Self::FrontRight)
    }

    /// The steered wheel of a side.
    pub const fn steered(side: Side) -> Self {
        match side {
            Side::Left => Self::FrontLeft,
            Side::Right => Self::FrontRight,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mount_is_found_by_its_name() {
        for mount in Mount::ALL {
            assert_eq!(Mount::named(mount.name()), Some(mount));
        }
        assert_eq!(Mount::named("roof"), None);
    }

    #[test]
    fn the_steered_wheel_of_a_side_is_on_that_side() {
        for side in [Side::Left, Side::Right] {
            assert!(Mount::steered(side).is_steered());
            assert_eq!(Mount::steered(side).side(), Some(side));
        }
    }
}
