//! Carried toe on random cars, hands and chips of the simulator, against the truth.

mod report;
mod trial;

pub use report::{Series, parts, report, series};
pub use trial::{Class, Course, Errors, Found, samples_of, setup, trial};
