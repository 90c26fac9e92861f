//! Carrying, reading by reading: resting on a wheel or carried, which wheel, how many
//! passes, what it comes to so far and whether it is enough.
//!
//! Where the block was carried to is told by its own accelerometer: it rests at
//! both ends, so what velocity is left after the way came in evenly, and the way
//! itself is good to some centimetres over six seconds. A wheel further by the
//! track is not mistaken for the same one again.

use super::arrival::place_after;
use super::carry::{Came, Carry, QUICK_S, judge};
use super::outlook::{MOST_PASSES, USUAL_S, expanded_after, passes_needed};
use super::refusal::{LeftOut, Refusal};
use super::rest::RestSeen;
use super::solve::{Solved, solve};
use super::{CarriedSetup, Place};
use crate::angle::Angle;
use crate::reading::{Motion, Sample};
use crate::stillness::StillnessDetector;
use crate::time::HostTime;

/// A rest is seen this late: the window of the stillness detector was quiet already.
const SEEN_LATE_US: i64 = 300_000;
/// Its end is noticed this late.
const END_LATE_US: i64 = 600_000;
/// What a rest is short of at its end while it lasts.
const STILL_YOUNG_US: i64 = 200_000;
/// A rest counts with this much, µs.
const LEAST_REST_US: i64 = 1_000_000;
/// Of a longer rest the last part is used.
const LONGEST_REST_US: i64 = 20_000_000;
/// Without a rest for this long the way is lost.
const LOST_US: i64 = 60_000_000;
/// Bound on the readings of one way, for boards of up to 2 kHz.
const MOST_READINGS: usize = 170_000;
/// Leaning otherwise than before at a place by more than this (and noise) is another seat.
const SEAT_LEAN: Angle = Angle::from_deg(0.25);
const SIGMAS: f64 = 5.0;
/// Passes before anything is told to be enough.
const LEAST_ENOUGH: usize = 4;

/// What goes on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Phase {
    /// Waiting for the block to rest at the place it starts from.
    AwaitStart,
    /// It rests; so much is missing, µs.
    Holding(i64),
    /// The rest is taken: carry it on.
    Taken,
    /// It is being carried.
    Carried,
    /// There is enough.
    Enough,
}

/// What to show.
#[derive(Debug, Clone, PartialEq)]
pub struct Progress {
    /// What goes on.
    pub phase: Phase,
    /// Where the block is, or was last; none while that is not known.
    pub place: Option<Place>,
    /// Whether it is turned end for end.
    pub turned: bool,
    /// Passes that count.
    pub passes: usize,
    /// Passes left out.
    pub left_out: usize,
    /// Why the last pass was left out, if it was.
    pub last_left_out: Option<LeftOut>,
    /// Half width of the 95 % interval after as many passes as anybody makes, where what is
    /// asked is out of this board's reach.
    pub out_of_reach: Option<Angle>,
    /// Passes this board needs, before there is any.
    pub needed: Option<usize>,
}

/// Carrying from begin to end.
#[derive(Debug, Clone)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "what is known of the block, each by itself"
)]
pub struct CarriedToe {
    setup: CarriedSetup,
    detector: StillnessDetector,
    /// From the begin of the last rest on.
    samples: Vec<Sample>,
    rests: Vec<RestSeen>,
    carries: Vec<Carry>,
    left_out: Vec<LeftOut>,
    last_left_out: Option<LeftOut>,
    still_since: Option<HostTime>,
    /// Whether the rest at hand is among the rests already.
    taken: bool,
    /// Whether the last of the rests can be carried on from.
    linked: bool,
    place: Option<Place>,
    turned: bool,
    next_is_edge: bool,
    solved: Option<Result<Solved, Refusal>>,
    reach: Option<Angle>,
    needed: Option<usize>,
}

impl CarriedToe {
    /// Begins; refused where the chip cannot do it at all.
    pub fn new(setup: CarriedSetup) -> Result<Self, Refusal> {
        let chip = &setup.chip;
        if chip.angles_only || chip.gyro_range_radps >= f64::MAX {
            return Err(Refusal::NoGyro);
        }
        let needed = passes_needed(&setup, USUAL_S);
        let reach = if needed.is_none() {
            expanded_after(&setup, MOST_PASSES, USUAL_S)
        } else {
            None
        };
        Ok(Self {
            setup,
            detector: StillnessDetector::new(),
            samples: Vec::new(),
            rests: Vec::new(),
            carries: Vec::new(),
            left_out: Vec::new(),
            last_left_out: None,
            still_since: None,
            taken: false,
            linked: false,
            place: None,
            turned: false,
            next_is_edge: false,
            solved: None,
            reach,
            needed,
        })
    }

    /// Refused beforehand where the board cannot get to what is asked, however often it is carried.
    pub fn strict(setup: CarriedSetup) -> Result<Self, Refusal> {
        let begun = Self::new(setup)?;
        match begun.reach {
            Some(best) => Err(Refusal::CannotReach {
                best,
                passes: MOST_PASSES,
                wanted: begun.setup.wanted,
            }),
            None => Ok(begun),
        }
    }

    /// The block is carried to the straight edge next, or from it back to the place it starts from.
    pub fn next_is_edge(&mut self) {
        self.next_is_edge = true;
    }

    /// Takes one reading.
    pub fn observe(&mut self, sample: &Sample) {
        let motion = self.detector.observe(sample);
        self.samples.push(*sample);
        match motion {
            Motion::Still => {
                let since = *self
                    .still_since
                    .get_or_insert(HostTime::from_us(sample.at.us() - SEEN_LATE_US));
                let held = sample.at.since_us(since) - STILL_YOUNG_US;
                if !self.taken && held >= self.setup.hold_us {
                    self.take(since, HostTime::from_us(since.us() + held));
                }
                self.forget(sample.at);
            }
            Motion::Moving | Motion::Unknown => {
                if let Some(since) = self.still_since.take() {
                    self.end_rest(since, sample.at);
                }
                let lost = self
                    .samples
                    .first()
                    .is_some_and(|first| sample.at.since_us(first.at) > LOST_US);
                if lost || self.samples.len() > MOST_READINGS {
                    self.lose();
                }
            }
        }
    }

    /// What to show.
    pub fn progress(&self) -> Progress {
        let phase = match self.still_since {
            Some(_) if self.is_enough() && self.taken => Phase::Enough,
            Some(_) if self.taken => Phase::Taken,
            Some(since) => {
                let held = self
                    .samples
                    .last()
                    .map_or(0, |s| s.at.since_us(since) - STILL_YOUNG_US);
                Phase::Holding((self.setup.hold_us - held).max(0))
            }
            None if self.linked => Phase::Carried,
            None => Phase::AwaitStart,
        };
        Progress {
            phase,
            place: self.place,
            turned: self.turned,
            passes: self.carries.len(),
            left_out: self.left_out.len(),
            last_left_out: self.last_left_out,
            out_of_reach: self.reach,
            needed: self.needed,
        }
    }

    /// What the passes so far come to; none before the first.
    pub fn solved(&self) -> Option<&Result<Solved, Refusal>> {
        self.solved.as_ref()
    }

    /// The passes that count.
    pub fn carries(&self) -> &[Carry] {
        &self.carries
    }

    /// The rests.
    pub fn rests(&self) -> &[RestSeen] {
        &self.rests
    }

    /// Why passes were left out, the first one first.
    pub fn left_out(&self) -> &[LeftOut] {
        &self.left_out
    }

    /// The result as it stands.
    pub fn finish(&self) -> Result<Solved, Refusal> {
        match self.solved.clone() {
            Some(Err(Refusal::TooFewPasses {
                counted, needed, ..
            })) => Err(Refusal::TooFewPasses {
                counted,
                needed,
                left_out: self.left_out.len(),
            }),
            Some(solved) => solved,
            None => Err(Refusal::TooFewPasses {
                counted: 0,
                needed: 2,
                left_out: self.left_out.len(),
            }),
        }
    }

    /// As narrow as was asked, by enough passes.
    pub fn is_enough(&self) -> bool {
        let front = self.setup.start.is_front();
        self.carries.len() >= LEAST_ENOUGH
            && self
                .solved
                .as_ref()
                .and_then(|solved| solved.as_ref().ok()?.total(front))
                .is_some_and(|total| total.estimate.expanded() <= self.setup.wanted)
    }

    fn take(&mut self, from: HostTime, to: HostTime) {
        let place = self.place.unwrap_or(self.setup.start);
        let seen = RestSeen::of(&self.samples, (from, to), (place, self.turned), &self.setup);
        let Some(seen) = seen else {
            return;
        };
        self.taken = true;
        let seen = match seen {
            Ok(seen) => seen,
            Err(why) => {
                self.leave_out(why);
                self.linked = false;
                self.place = None;
                return;
            }
        };
        if self.linked {
            self.arrive(seen);
        } else {
            self.place = Some(self.setup.start);
            self.rests.push(RestSeen {
                place: self.setup.start,
                ..seen
            });
        }
        self.linked = self.place.is_some();
        // What lies before this rest is done with.
        self.samples.retain(|sample| sample.at >= from);
    }

    /// The block rests after a way.
    fn arrive(&mut self, mut seen: RestSeen) {
        let Some((before, begun)) = self.rests.len().checked_sub(1).map(|i| (i, &self.rests[i]))
        else {
            return;
        };
        // Which face touches follows from the place, which the way tells.
        let across = begun.place.across().unwrap_or(begun.place);
        seen.place = across;
        let guess = judge(
            &self.samples,
            (before, before + 1),
            (begun, &seen),
            &self.setup,
        );
        match guess {
            Err(why) => {
                self.leave_out(why);
                self.place = None;
            }
            Ok(Came::EndForEnd(moved_m)) => {
                let place = self.arrived(begun.place, &moved_m);
                self.turned = !self.turned;
                self.stand(seen, place);
            }
            Ok(Came::Straight(carry, moved_m)) => {
                let place = self.arrived(begun.place, &moved_m);
                match place {
                    Ok(_) if place != Ok(begun.place) && carry.swept.seconds < QUICK_S => {
                        let seconds = carry.swept.seconds;
                        self.leave_out(LeftOut::TooQuick {
                            seconds,
                            limit: QUICK_S,
                        });
                        self.place = None;
                    }
                    Ok(place) if place != begun.place => {
                        seen.place = place;
                        // Judged anew where another face touches than was guessed.
                        let carry = if place == across {
                            Ok(Came::Straight(carry, moved_m))
                        } else {
                            judge(
                                &self.samples,
                                (before, before + 1),
                                (begun, &seen),
                                &self.setup,
                            )
                        };
                        self.count(carry, seen);
                    }
                    place => self.stand(seen, place),
                }
            }
        }
        self.next_is_edge = false;
        self.solved = Some(solve(&self.rests, &self.carries, &self.setup));
    }

    /// A rest without a pass to it.
    fn stand(&mut self, mut seen: RestSeen, place: Result<Place, LeftOut>) {
        match place {
            Ok(place) => {
                seen.place = place;
                seen.turned = self.turned;
                self.place = Some(place);
                self.rests.push(seen);
            }
            Err(why) => {
                self.leave_out(why);
                self.place = None;
            }
        }
    }

    fn count(&mut self, carry: Result<Came, LeftOut>, seen: RestSeen) {
        let carry = match (carry, self.seated(&seen)) {
            (Ok(Came::Straight(carry, _)), Ok(())) => Ok(carry),
            (Err(why), _) | (_, Err(why)) => Err(why),
            (Ok(Came::EndForEnd(_)), Ok(())) => return,
        };
        match carry {
            Ok(carry) => {
                self.last_left_out = None;
                self.place = Some(seen.place);
                self.rests.push(seen);
                self.carries.push(*carry);
            }
            Err(why) => {
                self.leave_out(why);
                self.place = None;
            }
        }
    }

    /// Whether the block leans as it did here before.
    fn seated(&self, seen: &RestSeen) -> Result<(), LeftOut> {
        let here = |rest: &&RestSeen| rest.place == seen.place && rest.turned == seen.turned;
        let Some(first) = self.rests.iter().find(here) else {
            return Ok(());
        };
        let found = (seen.lean_rad(&self.setup) - first.lean_rad(&self.setup)).abs();
        let noise = seen.force_standard_g.hypot(first.force_standard_g);
        let limit = Angle::from_rad(SEAT_LEAN.rad() + SIGMAS * noise);
        if found > limit.rad() {
            return Err(LeftOut::SeatedOtherwise {
                found: Angle::from_rad(found),
                limit,
            });
        }
        Ok(())
    }

    fn arrived(&self, from: Place, moved_m: &nalgebra::Vector3<f64>) -> Result<Place, LeftOut> {
        if self.next_is_edge {
            let is_back = from == Place::Edge;
            return Ok(if is_back {
                self.setup.start
            } else {
                Place::Edge
            });
        }
        place_after(from, moved_m)
    }

    fn end_rest(&mut self, since: HostTime, now: HostTime) {
        if self.taken {
            let last = HostTime::from_us(now.us() - END_LATE_US);
            self.lengthen(since, last);
        }
        self.taken = false;
    }

    /// The rest lasted until `last`: the whole of it is used.
    fn lengthen(&mut self, since: HostTime, last: HostTime) {
        let Some(taken) = self.rests.last().filter(|_| self.linked) else {
            return;
        };
        let from = HostTime::from_us(since.us().max(last.us() - LONGEST_REST_US));
        if last.since_us(from) < LEAST_REST_US || taken.from < since {
            return;
        }
        let at = (taken.place, taken.turned);
        match RestSeen::of(&self.samples, (from, last), at, &self.setup) {
            Some(Ok(longer)) => {
                if let Some(taken) = self.rests.last_mut() {
                    *taken = longer;
                }
            }
            Some(Err(why)) => {
                self.leave_out(why);
                self.linked = false;
                self.place = None;
            }
            None => {}
        }
    }

    /// Readings before the part of the rest that is used.
    fn forget(&mut self, now: HostTime) {
        if self.taken || !self.linked {
            let oldest = now.us() - LONGEST_REST_US - END_LATE_US;
            let old = self.samples.partition_point(|s| s.at.us() < oldest);
            // In bunches, so that not every reading moves all others.
            if old > 1000 {
                self.samples.drain(..old);
            }
        }
    }

    fn leave_out(&mut self, why: LeftOut) {
        self.left_out.push(why);
        self.last_left_out = Some(why);
    }

    /// It is not known any more where the block is.
    fn lose(&mut self) {
        if self.linked {
            self.leave_out(LeftOut::TooSlow {
                seconds: LOST_US as f64 * 1e-6,
                limit: 20.0,
            });
        }
        self.samples.clear();
        self.linked = false;
        self.place = None;
    }
}

#[cfg(test)]
mod tests;
