//! Finding boards and saying where they are, on the wire.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::text::Text;

use super::views::{MountView, TroubleView};
use crate::axis::AxisName;

/// How a board was said to sit on its hub, by the arrows printed on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct SitsView {
    /// Points away from the car.
    pub outboard: AxisName,
    /// Points up; none: the board sits at any angle, and its wheel has to be turned.
    pub up: Option<AxisName>,
}

/// Finding boards and saying where they are, as it stands.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct SetupView {
    /// Does a configuration name the boards? Then serial ports are not looked for.
    pub configured: bool,
    /// Naming the mounts by tapping their boards.
    pub naming: NamingView,
    /// What Bluetooth saw.
    pub bluetooth: BluetoothView,
    /// Why what was said is not kept, or could not be read at the start.
    pub trouble: Option<TroubleView>,
    /// Does somebody practise with a simulated car?
    pub practice: PracticeView,
}

/// Does somebody practise with a simulated car?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PracticeView {
    /// Nobody does.
    #[default]
    Off,
    /// Somebody does, under `practice/` of this address.
    Running,
    /// This is the practice: nothing here is real, and nothing is kept.
    Inside,
}

/// Naming the mounts by tapping their boards.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct NamingView {
    /// Rises with every start.
    pub run: u64,
    /// The mount whose board is to be tapped now; none when no naming runs.
    pub mount: Option<MountView>,
    /// One sentence: what to do now.
    pub say: Text,
    /// Mounts that are still to come.
    pub to_come: Vec<MountView>,
    /// Boards that were named in this run, in order.
    pub named: Vec<NamedView>,
    /// Mounts on which there is no board.
    pub skipped: Vec<MountView>,
    /// What the last jolt was.
    pub heard: Option<JoltView>,
}

/// A board that was named.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct NamedView {
    /// Where.
    pub mount: MountView,
    /// Identity of the board.
    pub board: String,
}

/// What a jolt was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct JoltView {
    /// Rises with every jolt of this run.
    pub number: u64,
    /// What became of it.
    pub result: JoltResult,
    /// What happened and what to do, in one or two sentences.
    pub text: Text,
}

/// What became of a jolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum JoltResult {
    /// A board was tapped and named.
    Named,
    /// Several boards moved alike: a knock on the car, a door.
    Alike,
    /// A board was carried or shoved.
    Carried,
    /// A board was tapped that has its mount already.
    Again,
    /// A board was tapped that cannot be put there.
    Refused,
}

/// What Bluetooth saw when it was looked at last.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct BluetoothView {
    /// Is it being looked at?
    pub looking: bool,
    /// Who is in reach, what is most likely a board first. They may be anybody's.
    pub seen: Vec<SeenView>,
    /// Why nobody could be seen.
    pub trouble: Option<TroubleView>,
}

/// Somebody on Bluetooth.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SeenView {
    /// How it is taken in.
    pub port: String,
    /// The name it says.
    pub name: Option<String>,
    /// Strength of its signal, dBm.
    pub signal_dbm: Option<i16>,
    /// Does it offer a service that is known to carry a board's bytes?
    pub likely: bool,
    /// Is it read already?
    pub here: bool,
}

/// Body of a request that looks at Bluetooth.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BluetoothLook {
    /// For how long, s: 1 to 30.
    #[serde(default = "usual_look_s")]
    pub seconds: f64,
}

const fn usual_look_s() -> f64 {
    8.0
}

/// Body of a request that takes a board in.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardIn {
    /// How it is reached, as the configuration writes it: `udp:9000`, `tcp:board.local:3333`,
    /// `tcp-listen:3333`, `ble:C0:FF:EE:00:12:34`, `iio:lsm6dso`.
    pub port: String,
    /// What it is called.
    #[serde(default)]
    pub name: Option<String>,
    /// Its wire format by name, where listening does not find it.
    #[serde(default)]
    pub format: Option<String>,
}

/// Body of a request about one board.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardOf {
    /// Identity of the board, as the state lists it.
    pub board: String,
}

/// Body of a request that names a board.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardName {
    /// Identity of the board, as the state lists it.
    pub board: String,
    /// What it is called from now on.
    pub name: String,
}

/// Body of a request that says where a board is strapped.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardSeat {
    /// Identity of the board, as the state lists it.
    pub board: String,
    /// Where it is; none: it was taken off.
    #[serde(default)]
    pub mount: Option<MountView>,
    /// The arrow that points away from the car; none: as before, if it stays on its side of the car.
    #[serde(default)]
    pub outboard: Option<AxisName>,
    /// The arrow that points up; none: gravity says it, while the board rests.
    #[serde(default)]
    pub up: Option<AxisName>,
}

/// Where a board is now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PlacedView {
    /// Identity of the board.
    pub board: String,
    /// What it is called.
    pub name: String,
    /// Where it is.
    pub mount: Option<MountView>,
    /// How it was said to sit.
    pub sits: Option<SitsView>,
}

/// A practice that was started, or ended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PractisedView {
    /// Is it there now?
    pub practice: PracticeView,
    /// Where, relative to the page; none after its end.
    pub address: Option<String>,
}
