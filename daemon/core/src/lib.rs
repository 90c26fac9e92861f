//! The measuring core of hubplumb: readings and times go in, angles with their
//! uncertainty come out.
//!
//! Pure: no clock, no file, no port, no runtime. The same input gives the same
//! output, bit for bit. Frames and signs follow ISO 8855 and are written down
//! once, in [`frames`] and [`attitude`].

pub mod adjust;
pub mod allan;
pub mod angle;
pub mod attitude;
pub mod calibrate;
pub mod calibration;
pub mod carried;
pub mod causes;
pub mod check;
pub mod chip;
pub mod clock;
pub mod decision;
pub mod entered;
pub mod estimate;
pub mod finding;
pub mod floor;
pub mod frames;
pub mod garbled;
pub mod gum;
pub mod joint;
pub mod length;
pub mod levelling;
pub mod live;
pub mod mounting;
pub mod notation;
pub mod offsets;
pub mod reading;
pub mod rest;
pub mod session;
pub mod side;
pub mod stillness;
pub mod stuck;
pub mod swing;
pub mod tap;
pub mod tilt;
pub mod time;
pub mod toe;
mod turn;
pub mod turning;
pub mod wobble;
