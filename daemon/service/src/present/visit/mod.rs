//! Cars and visits, from the store to the wire.

mod adjuster;
mod check_run;
mod curve;
mod difference;
mod entered;
mod finding;
mod history;
mod judge;
mod meaning;
mod offsets;
mod problem;
mod swing_run;
mod verdict;
mod view;
mod work;

pub use check_run::check_run;
pub(super) use finding::expanded;

pub use entered::entered_run;
pub use history::{car_history, past_visit, past_visits};
pub use judge::judge_entry;
pub use problem::{car_file_problem, store_problem};
pub use swing_run::{SWING_MOUNTS, SwingFindings, swing_findings, swing_run};
pub use view::{at_hand_view, car_view, visit_lines, visit_of};

use crate::text::Text;

/// Words as they are stored: in English, whoever asks.
fn stored(words: impl Into<Text>) -> String {
    words.into().stored()
}

#[cfg(test)]
mod tests;
