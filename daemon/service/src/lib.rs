//! The async service of hubplumb: it reads the boards on the hubs, runs the
//! guided measurements and serves the page.
//!
//! It owns every port, file, clock and socket, and holds no geometry: what an
//! angle is and how far to trust it is `hubplumb_core`'s to say.
//!
//! - [`link`]: serial lines, one task per board;
//! - [`board`]: from the readings of a link to calibrated samples;
//! - [`axis`]: the directions printed on a board;
//! - [`swing`]: the task that owns the steering swing;
//! - [`traces`]: every angle of every board, for whoever draws it;
//! - [`calibrating`] and [`calibration_store`]: making calibrations, and keeping them;
//! - [`links`]: what every link is started with;
//! - [`placing`] and [`setup_store`]: finding boards, saying where they are, and keeping that;
//! - [`practice`]: a simulated car for whoever wants to try;
//! - [`levelling`]: floor, toe, and how the boards sit, found by turning the wheels;
//! - [`checking`]: the guided checks of camber, play, steering locks, turns and ride height;
//! - [`snapshot`]: the latest of everything, as one view;
//! - [`text`](mod@text): sentences as data, told in the language of who asks;
//! - [`present`]: from the domain to the views of the wire;
//! - [`http`]: page and interface;
//! - [`journal`]: everything that goes into the measurements, written down and played again;
//! - [`recording`]: swings written down, and recordings solved;
//! - [`car`], [`visit`] and [`store`]: cars and visits, and the file they are kept in;
//! - [`visiting`]: the visit at hand;
//! - [`pairing`]: the devices that may command;
//! - [`reach`]: addresses, certificate and announcement, by which a tablet gets to the page;
//! - [`publishing`]: findings and live angles for other programs, by MQTT;
//! - [`sheet`]: the printed sheet of a visit;
//! - [`pulse`], [`metrics`] and [`supervised`]: how the daemon itself is, for whoever watches over it;
//! - [`config`] and [`cli`]: what the operator says.

pub mod axis;
pub mod board;
pub mod calibrating;
pub mod calibration_store;
pub mod car;
pub mod checking;
pub mod cli;
pub mod clock;
pub mod config;
pub mod daemon;
pub mod documents;
pub mod figures;
pub mod http;
pub mod journal;
pub mod levelling;
pub mod link;
pub mod links;
pub mod metrics;
pub mod mount;
pub mod pairing;
pub mod placing;
pub mod practice;
pub mod present;
pub mod publishing;
pub mod pulse;
pub mod queue;
pub mod reach;
pub mod recording;
pub mod setup_store;
pub mod sheet;
pub mod snapshot;
pub mod speech_store;
pub mod store;
pub mod supervised;
pub mod swing;
pub mod text;
pub mod traces;
pub mod visit;
pub mod visiting;
