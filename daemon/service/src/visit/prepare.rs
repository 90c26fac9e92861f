//! Making car and floor ready: what is seen to before anything is measured.
//!
//! The points and their order are common practice; that makers ask for them before a
//! measurement is told in their manuals (tread, curb weight, plates off their stops,
//! settled suspension). No figure stands here that a maker's data would have to give.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::text;
use crate::text::Text;

/// A point of the preparation.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    ToSchema,
    JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Point {
    /// The floor under the four wheels was surveyed.
    Floor,
    /// The car is loaded as its target figures ask.
    Load,
    /// Tyre pressures were set and entered.
    Tyres,
    /// Tread and tyres are alike on each axle.
    Tread,
    /// No play in wheel bearings.
    Bearings,
    /// No play in ball joints, bushes, tie rods and steering.
    Joints,
    /// Ride heights were measured and entered.
    RideHeights,
    /// Boards are fast on their hubs.
    Boards,
    /// The front wheels stand on plates that turn and slide.
    Plates,
    /// The suspension is settled.
    Settled,
    /// Wheels and steering wheel are straight ahead.
    StraightAhead,
    /// The brake is held.
    Brake,
}

impl Point {
    /// All of them, in the order of the work.
    pub const ALL: [Self; 12] = [
        Self::Floor,
        Self::Load,
        Self::Tyres,
        Self::Tread,
        Self::Bearings,
        Self::Joints,
        Self::RideHeights,
        Self::Boards,
        Self::Plates,
        Self::Settled,
        Self::StraightAhead,
        Self::Brake,
    ];

    /// Title of the point.
    pub const fn title(self) -> Text {
        match self {
            Self::Floor => text!("Floor surveyed"),
            Self::Load => text!("Car loaded as its data ask"),
            Self::Tyres => text!("Tyre pressures set and entered"),
            Self::Tread => text!("Tyres and tread alike on each axle"),
            Self::Bearings => text!("Wheel bearings without play"),
            Self::Joints => text!("Joints and steering without play"),
            Self::RideHeights => text!("Ride heights entered"),
            Self::Boards => text!("Boards fast on their hubs"),
            Self::Plates => text!("Plates free to turn and slide"),
            Self::Settled => text!("Suspension settled"),
            Self::StraightAhead => text!("Wheels straight ahead"),
            Self::Brake => text!("Brake held"),
        }
    }

    /// What to do.
    pub const fn say(self) -> Text {
        match self {
            Self::Floor => {
                text!(
                    "Survey the pads under the four wheels on the line Floor. A slope that is known is computed out; one that is not goes straight into camber and caster."
                )
            }
            Self::Load => {
                text!(
                    "Fuel, spare wheel, tools and people as the maker's data ask. Write down what is in the car."
                )
            }
            Self::Tyres => text!("Set all tyres cold to the figures you use, and enter them."),
            Self::Tread => {
                text!(
                    "Same size and make on each axle, tread worn alike; enter the depths if you measure them. Uneven wear already tells something."
                )
            }
            Self::Bearings => {
                text!(
                    "Rock each wheel at top and bottom. The play check measures it; worn bearings come before any angle."
                )
            }
            Self::Joints => {
                text!(
                    "Rock each wheel at front and rear, move the steering to and fro, look at bushes and joints. Mend what is worn first: no figure is worth anything before."
                )
            }
            Self::RideHeights => {
                text!(
                    "Measure each corner from and to the points of the car's data. A sagged spring changes every angle."
                )
            }
            Self::Boards => {
                text!("Each board fast and on its own hub; nothing may slip while the wheels turn.")
            }
            Self::Plates => {
                text!(
                    "Front wheels in the middle of turn plates or greased sheets, pins out, nothing at its stop; the rear ones on plates that slide, or roll the car after every jacking."
                )
            }
            Self::Settled => {
                text!(
                    "Bounce each end a few times and let it come to rest, or roll the car a length forward and back."
                )
            }
            Self::StraightAhead => {
                text!(
                    "Steering wheel straight, then hold it there; the road wheels show what that is worth."
                )
            }
            Self::Brake => {
                text!(
                    "Hold the foot brake with a prop against the seat. A hub that rolls while steering spoils SAI."
                )
            }
        }
    }

    /// What can hurt somebody at this point, and what to heed.
    pub fn cautions(self) -> Vec<Text> {
        match self {
            Self::Floor | Self::Load | Self::Tread | Self::RideHeights | Self::StraightAhead => {
                Vec::new()
            }
            Self::Tyres => {
                vec![text!(
                    "Never stand over a tyre that is being filled; keep to the figures on it."
                )]
            }
            Self::Bearings | Self::Joints => vec![
                text!(
                    "Jack only at the maker's points, on hard level ground, the other wheels chocked."
                ),
                text!(
                    "Never reach under a car that stands on a jack alone: stands of the right rating under it first."
                ),
                text!(
                    "Worn steering or suspension parts are a danger on the road: have them seen to by somebody licensed where local rules ask for it."
                ),
            ],
            Self::Boards => {
                vec![text!(
                    "Keep hands, cables and clothing clear of wheels that may turn; hot brakes burn."
                )]
            }
            Self::Plates => vec![
                text!(
                    "Chock the wheels that stay on the ground while a wheel is raised onto a plate."
                ),
                text!("A car on free plates moves easily: nobody in front of or behind it."),
            ],
            Self::Settled => {
                vec![text!(
                    "Nobody under the car and no hand between tyre and wing while it is bounced."
                )]
            }
            Self::Brake => vec![text!(
                "A propped brake holds only while the prop does: chock a wheel as well where the procedure lets you."
            )],
        }
    }
}
