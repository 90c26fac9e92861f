//! What the operator does: a script of steps, and the timeline it becomes.

mod carried;
mod hand;
mod held;
mod script;
mod script_error;
mod segment;
mod shake;
mod timeline;
mod workshop;

pub use carried::{Block, Hand};
pub use script::{Rocked, Script, Slip, Step};
pub use script_error::{ScriptError, StepProblem};
pub use shake::{Idle, Shake};
pub use timeline::{RestMark, Timeline};
