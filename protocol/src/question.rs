//! What has to be asked of a board that does not talk by itself.

use std::time::Duration;

/// A question to a board that answers and never talks by itself.
///
/// It only ever reads: no question of this crate changes anything in a board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The bytes to be written.
    pub bytes: Vec<u8>,
    /// How often to ask. A board that is slower is asked as soon as it has answered.
    pub every: Duration,
    /// How long an answer may take, from the question's last byte to its own, at
    /// the slowest usual speed of the line.
    pub answer_within: Duration,
}
