//! A sensor board: how it is strapped on, what its chip gets wrong, and its clock.

mod chip;
mod clock;
mod link;
mod noise;
mod placement;
mod sampler;

pub(crate) use chip::normal;
pub use chip::{ChipFigures, Preset, SensorErrors, SensorFigures};
pub use clock::{Clock, Temperature};
pub use link::{Gatt, LinkKind, LinkSpec};
pub use noise::{Purpose, stream};
pub use placement::{AxesError, Facing, Placement};
pub(crate) use sampler::tilt_of;
pub use sampler::{BoardErrors, BoardSampler, BoardSpec, Sensed, sense};
