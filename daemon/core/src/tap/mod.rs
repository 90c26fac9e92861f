//! Which of several boards was tapped with a finger.
//!
//! Whoever straps boards to hubs knows which is which by touching them. A tap is a jolt
//! of a few tens of milliseconds that one board feels far more than any other. A knock on
//! the car, a slammed door or a dropped tool reaches all of them: then nobody was tapped.
//!
//! Each board is judged against its own recent noise, so that one on an idling engine is
//! not tapped all the time and one on a heavy stand is heard as well. What boards felt is
//! compared as the farthest that the specific force went from its rest, which depends on
//! the rate of a board less than a sum or a jerk would. A board that sends fewer than a
//! hundred readings a second and filters nothing can still miss a tap between two of them.

mod ear;

use thiserror::Error;

use crate::frames::{Board, Vec3};
use crate::time::HostTime;
use ear::{Ear, Feeling};

/// What is felt within so long of the first sign of a jolt belongs to it, µs.
pub const WINDOW_US: i64 = 300_000;
/// Boards tell of the same jolt so much later than others, µs: links that bunch readings.
pub const LATE_US: i64 = 250_000;
/// After a jolt none is looked for this long, µs: a finger bounces, a wheel rings on.
pub const REFRACTORY_US: i64 = 700_000;
/// The tapped board must have felt so many times what any other felt. A finger's tap on
/// one hub reaches the others through the car with a twentieth; a door reaches all alike.
pub const CLEAR: f64 = 3.0;

/// What a jolt was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Jolt {
    /// One board was tapped.
    Tapped {
        /// Which.
        board: usize,
        /// What it felt, g.
        felt_g: f64,
        /// The most that any other felt, g.
        next_g: f64,
    },
    /// It cannot be told which.
    Unclear(Unclear),
}

/// Why it cannot be told which board was tapped.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Unclear {
    /// More than one board moved alike.
    #[error("board {strongest} felt {felt_g} g and board {next} felt {next_g} g")]
    Alike {
        /// The one that felt most.
        strongest: usize,
        /// What it felt, g.
        felt_g: f64,
        /// The next.
        next: usize,
        /// What that felt, g.
        next_g: f64,
    },
    /// The board points otherwise afterwards: it was carried or shoved, not tapped.
    #[error("board {board} was carried: it rests {turned_g} g away from where it did")]
    Carried {
        /// Which.
        board: usize,
        /// How far its rest went, g.
        turned_g: f64,
    },
}

/// Listens to several boards for a tap on one of them.
#[derive(Debug, Clone, Default)]
pub struct TapListener {
    ears: Vec<Ear>,
    /// When the jolt at hand began.
    begun: Option<HostTime>,
    deaf_until: Option<HostTime>,
}

impl TapListener {
    /// Listens to so many boards, numbered from 0.
    pub fn to(boards: usize) -> Self {
        Self {
            ears: vec![Ear::default(); boards],
            begun: None,
            deaf_until: None,
        }
    }

    /// One more board, which gets the next number.
    pub fn add(&mut self) {
        self.ears.push(Ear::default());
    }

    /// Takes what a board felt; times of one board only rise. Gives the jolt that is over
    /// with it, if one is. A board that is not listened to, and a reading that is no number,
    /// change nothing.
    pub fn feel(&mut self, board: usize, at: HostTime, accel_g: Vec3<Board>) -> Option<Jolt> {
        let deaf = self.deaf_until.is_some_and(|until| at < until);
        let begun = self.begun;
        let ear = self.ears.get_mut(board)?;
        let feeling = ear.feel(at, accel_g, begun, deaf);
        if begun.is_none() && feeling == Feeling::Jolted && !deaf {
            self.begin(at);
            return None;
        }
        let begun = begun?;
        if at.since_us(begun) < WINDOW_US + LATE_US {
            return None;
        }
        self.begun = None;
        self.deaf_until = Some(HostTime::from_us(begun.us() + WINDOW_US + REFRACTORY_US));
        let jolt = self.judge();
        for ear in &mut self.ears {
            ear.over();
        }
        jolt
    }

    fn begin(&mut self, at: HostTime) {
        self.begun = Some(at);
        for ear in &mut self.ears {
            ear.begin(at);
        }
    }

    /// The strongest by a clear margin, or why there is none.
    fn judge(&self) -> Option<Jolt> {
        let mut felt: Vec<(usize, f64)> = self
            .ears
            .iter()
            .enumerate()
            .map(|(board, ear)| (board, ear.felt_g()))
            .collect();
        // A stable sort: of two that felt the same the first stays first.
        felt.sort_by(|a, b| b.1.total_cmp(&a.1));
        let (board, felt_g) = *felt.first()?;
        let next = felt.get(1).copied();
        if let Some((next, next_g)) = next.filter(|(_, next_g)| felt_g < CLEAR * next_g) {
            return Some(Jolt::Unclear(Unclear::Alike {
                strongest: board,
                felt_g,
                next,
                next_g,
            }));
        }
        if let Some(turned_g) = self.ears[board].carried_g() {
            return Some(Jolt::Unclear(Unclear::Carried { board, turned_g }));
        }
        Some(Jolt::Tapped {
            board,
            felt_g,
            next_g: next.map_or(0.0, |(_, next_g)| next_g),
        })
    }
}
