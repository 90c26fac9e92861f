//! Cars and visits, from the store to the wire.

mod adjuster;
mod curve;
mod difference;
mod entered;
mod finding;
mod judge;
mod meaning;
mod problem;
mod swing_run;
mod verdict;
mod view;
mod work;

pub use entered::entered_run;
pub use judge::judge_entry;
pub use problem::{car_file_problem, store_problem};
pub use swing_run::{SWING_MOUNTS, swing_run};
pub use view::{at_hand_view, car_view, visit_lines, visit_of};
