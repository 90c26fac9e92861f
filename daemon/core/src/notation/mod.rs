//! Figures as a person types them, and back.
//!
//! Decimal point and comma both count, and signs as a keyboard or a printer has
//! them. What could be read in two ways is refused, never guessed: thousands
//! separators above all. Everything printed here is read back as the same figure.

mod angle;
mod error;
mod length;
mod number;
mod toe;

pub use angle::{AngleForm, read_angle, write_angle};
pub use error::{Accepted, NotationError, Problem};
pub use length::{LengthUnit, read_length, write_inch_fraction, write_length};
pub use toe::{Reference, ToeUnit, Wheels, read_toe, write_toe};
