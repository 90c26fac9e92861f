//! The core's structs of evidence, as they are written: the core knows no JSON.
//!
//! A field that the core gains, loses or renames does not compile here until it
//! is seen to. An optional field is written as `null`, and is never left out.

use hubplumb_core::carried::Place;
use hubplumb_core::check::evidence::{
    BarEvidence, BarTake, CarriedEvidence, CentringEvidence, HeightStop, HeightsEvidence,
    HubEvidence, PlainAccel, PlainCarriedChip, PlainCarriedRest, PlainFloor, PlainPass, PlainRest,
    PlainSteer, PlainTurn, PlayEvidence, TurnedBy, TurningPoint, TurnsEvidence,
};
use hubplumb_core::check::{BarTurn, Grip, SeatBy};
use hubplumb_core::side::Side;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::Value;

/// A type of the core that has its mirror here.
pub(super) trait Mirrored: Sized {
    /// Writes it.
    fn write<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error>;
    /// Reads it.
    fn read<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error>;
}

/// A type of the core, written and read by its mirror.
pub(super) struct Own<T>(pub(super) T);

impl<T: Mirrored> Serialize for Own<&T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.0.write(to)
    }
}

impl<'de, T: Mirrored> Deserialize<'de> for Own<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        T::read(from).map(Self)
    }
}

/// The JSON of it.
pub(super) fn written<T: Mirrored>(of: &T) -> Value {
    // Structs of numbers, texts and lists always become JSON.
    serde_json::to_value(Own(of)).unwrap_or_default()
}

/// A list of a type that has its mirror.
mod each {
    use super::{Deserialize, Deserializer, Mirrored, Own, Serializer};

    pub(super) fn serialize<T: Mirrored, S: Serializer>(
        items: &[T],
        to: S,
    ) -> Result<S::Ok, S::Error> {
        to.collect_seq(items.iter().map(Own))
    }

    pub(super) fn deserialize<'de, T: Mirrored, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Vec<T>, D::Error> {
        let items = Vec::<Own<T>>::deserialize(from)?;
        Ok(items.into_iter().map(|Own(item)| item).collect())
    }
}

/// A type that has its mirror, or nothing.
mod maybe {
    use super::{Deserialize, Deserializer, Mirrored, Own, Serialize, Serializer};

    #[expect(clippy::ref_option, reason = "serde hands the field over so")]
    pub(super) fn serialize<T: Mirrored, S: Serializer>(
        item: &Option<T>,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        item.as_ref().map(Own).serialize(to)
    }

    pub(super) fn deserialize<'de, T: Mirrored, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<T>, D::Error> {
        let item = Option::<Own<T>>::deserialize(from)?;
        Ok(item.map(|Own(item)| item))
    }
}

/// Degrees of freedom; `null` where they are beyond count, which JSON has no number for.
mod freedom {
    use super::{Deserialize, Deserializer, Serialize, Serializer};

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde hands the field over so"
    )]
    pub(super) fn serialize<S: Serializer>(freedom: &f64, to: S) -> Result<S::Ok, S::Error> {
        (*freedom != f64::INFINITY)
            .then_some(*freedom)
            .serialize(to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
        Ok(Option::deserialize(from)?.unwrap_or(f64::INFINITY))
    }
}

/// What names its mirror's functions for [`Mirrored`].
macro_rules! mirrored {
    ($($of:ident by $mirror:ident),+ $(,)?) => {$(
        impl Mirrored for $of {
            fn write<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                $mirror::serialize(self, to)
            }

            fn read<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                $mirror::deserialize(from)
            }
        }
    )+};
}

mirrored! {
    Side by SideMirror,
    BarTurn by BarTurnMirror,
    PlainRest by RestMirror,
    HubEvidence by HubMirror,
    BarTake by TakeMirror,
    BarEvidence by BarMirror,
    TurningPoint by PointMirror,
    PlayEvidence by PlayMirror,
    PlainSteer by SteerMirror,
    CentringEvidence by CentringMirror,
    PlainTurn by TurnMirror,
    TurnsEvidence by TurnsMirror,
    HeightStop by HeightStopMirror,
    HeightsEvidence by HeightsMirror,
    PlainCarriedRest by CarriedRestMirror,
    PlainPass by PassMirror,
    CarriedEvidence by CarriedMirror,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Side", rename_all = "snake_case")]
enum SideMirror {
    Left,
    Right,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "SeatBy", rename_all = "snake_case")]
enum SeatByMirror {
    Declared,
    RunOut,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "BarTurn", rename_all = "snake_case")]
enum BarTurnMirror {
    OtherFace,
    OtherEnd,
    Both,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Grip", rename_all = "snake_case")]
enum GripMirror {
    TopBottom,
    FrontRear,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "TurnedBy", rename_all = "snake_case")]
enum TurnedByMirror {
    Gyro,
    Plates,
    SteeringWheel,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainRest", deny_unknown_fields)]
struct RestMirror {
    from_us: i64,
    to_us: i64,
    count: usize,
    accel_g: [f64; 3],
    noise_rad: f64,
    #[serde(with = "freedom")]
    degrees_of_freedom: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainAccel", deny_unknown_fields)]
struct AccelMirror {
    offset_g: f64,
    scale: f64,
    cross_rad: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainFloor", deny_unknown_fields)]
struct FloorMirror {
    roll_rad: [f64; 2],
    pitch_rad: [f64; 2],
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "HubEvidence", deny_unknown_fields)]
struct HubMirror {
    #[serde(with = "SideMirror")]
    side: Side,
    spindle: [f64; 3],
    #[serde(with = "SeatByMirror")]
    seat_by: SeatBy,
    seat_rad: f64,
    #[serde(with = "FloorMirror")]
    floor: PlainFloor,
    #[serde(with = "AccelMirror")]
    accel: PlainAccel,
    #[serde(with = "each")]
    stops: Vec<PlainRest>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "BarTake", deny_unknown_fields)]
struct TakeMirror {
    #[serde(with = "RestMirror")]
    rest: PlainRest,
    faces_out: bool,
    same_end_up: bool,
    #[serde(with = "maybe")]
    turn: Option<BarTurn>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "BarEvidence", deny_unknown_fields)]
struct BarMirror {
    #[serde(with = "SideMirror")]
    side: Side,
    outboard: [f64; 3],
    #[serde(with = "FloorMirror")]
    floor: PlainFloor,
    #[serde(with = "AccelMirror")]
    accel: PlainAccel,
    seat_rad: f64,
    faces_rad: f64,
    reseat_rad: f64,
    rim_rad: f64,
    #[serde(with = "each")]
    takes: Vec<BarTake>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "TurningPoint", deny_unknown_fields)]
struct PointMirror {
    at_us: i64,
    angle_rad: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlayEvidence", deny_unknown_fields)]
struct PlayMirror {
    #[serde(with = "SideMirror")]
    side: Side,
    #[serde(with = "GripMirror")]
    grip: Grip,
    #[serde(with = "each")]
    points: Vec<TurningPoint>,
    range_rad: f64,
    seconds: f64,
    shaken_ratio: f64,
    gyro_noise_radps_rthz: f64,
    gyro_scale: f64,
    rest_noise_rad: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainSteer", deny_unknown_fields)]
struct SteerMirror {
    #[serde(with = "maybe")]
    turned: Option<Side>,
    steer_rad: [Option<[f64; 2]>; 2],
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "CentringEvidence", deny_unknown_fields)]
struct CentringMirror {
    #[serde(with = "TurnedByMirror")]
    by: TurnedBy,
    #[serde(with = "each")]
    positions: Vec<PlainSteer>,
    scale: [f64; 2],
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainTurn", deny_unknown_fields)]
struct TurnMirror {
    #[serde(with = "SideMirror")]
    turn: Side,
    inner_rad: [f64; 2],
    outer_rad: [f64; 2],
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "TurnsEvidence", deny_unknown_fields)]
struct TurnsMirror {
    #[serde(with = "TurnedByMirror")]
    by: TurnedBy,
    #[serde(with = "each")]
    turns: Vec<PlainTurn>,
    scale: [f64; 2],
    straight_rad: [f64; 2],
    return_rad: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "HeightStop", deny_unknown_fields)]
struct HeightStopMirror {
    height_mm: f64,
    #[serde(with = "RestMirror")]
    rest: PlainRest,
    // Named, so that leaving it out is an error and not nothing.
    #[serde(deserialize_with = "Option::deserialize")]
    toe_typed_rad: Option<[f64; 2]>,
    #[serde(deserialize_with = "Option::deserialize")]
    toe_moved_rad: Option<[f64; 2]>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "HeightsEvidence", deny_unknown_fields)]
struct HeightsMirror {
    #[serde(with = "HubMirror")]
    wheel: HubEvidence,
    ride_height_mm: f64,
    height_standard_mm: f64,
    #[serde(with = "each")]
    stops: Vec<HeightStop>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Place", rename_all = "snake_case")]
enum PlaceMirror {
    FrontLeft,
    FrontRight,
    RearLeft,
    RearRight,
    Edge,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainCarriedChip", deny_unknown_fields)]
struct CarriedChipMirror {
    gyro_noise_radps_rthz: f64,
    gyro_drift_radps: f64,
    gyro_scale: f64,
    gyro_cross_rad: f64,
    gyro_tempco_radps_per_c: f64,
    gyro_per_g_radps: f64,
    accel_offset_g: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainCarriedRest", deny_unknown_fields)]
struct CarriedRestMirror {
    from_us: i64,
    to_us: i64,
    #[serde(with = "PlaceMirror")]
    place: Place,
    turned: bool,
    force_g: [f64; 3],
    rate_radps: [f64; 3],
    rate_variance: f64,
    force_standard_g: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlainPass", deny_unknown_fields)]
struct PassMirror {
    before: usize,
    after: usize,
    heading_rad: f64,
    bias_radps: [f64; 3],
    by_lean: [f64; 2],
    by_slope: [f64; 2],
    by_earth_s: [f64; 3],
    seconds: f64,
    by_bias_s: [f64; 3],
    by_matrix_rad: [[f64; 3]; 3],
    by_force_gs: [[f64; 3]; 3],
    by_stamp: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "CarriedEvidence", deny_unknown_fields)]
struct CarriedMirror {
    #[serde(with = "PlaceMirror")]
    start: Place,
    wanted_rad: f64,
    to_left: [f64; 3],
    #[serde(with = "CarriedChipMirror")]
    chip: PlainCarriedChip,
    seat_rad: f64,
    seat_lean_rad: f64,
    faces_rad: [f64; 2],
    lean_rad: f64,
    faces_lean_rad: f64,
    #[serde(with = "FloorMirror")]
    floor: PlainFloor,
    stamp_s: f64,
    #[serde(with = "each")]
    rests: Vec<PlainCarriedRest>,
    #[serde(with = "each")]
    passes: Vec<PlainPass>,
}
