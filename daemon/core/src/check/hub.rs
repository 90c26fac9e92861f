//! Camber of one wheel by the board on its hub: one still stop, or several with
//! the car bounced between them, which shows how far it comes back.

use crate::angle::Angle;
use crate::attitude::{camber_at, mirrored_up};
use crate::check::evidence::{Evidence, HubEvidence, PlainAccel, PlainFloor, PlainRest};
use crate::check::refusal::{CheckRefusal, StartError};
use crate::check::result::{CheckCause, CheckFinding, CheckResult, Quantity};
use crate::check::running::{Procedure, Step, hold, repetitions};
use crate::check::step::{Hint, Phase, Progress, Stop};
use crate::check::still::{Seen, StillWatch};
use crate::check::{SeatBy, SeatedWheel};
use crate::frames::{Board, Dir, Vec3};
use crate::gum::Uncertainty;
use crate::reading::Sample;
use crate::side::Side;

/// Stops that a person has the patience for.
const MOST_STOPS: usize = 20;
/// Longest time without a rest.
const REST_LIMIT_S: i64 = 300;

/// What camber by the board on a hub needs to know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HubSetup {
    /// The wheel.
    pub seated: SeatedWheel,
    /// How long a stop lasts, µs.
    pub hold_us: i64,
    /// How many stops.
    pub stops: usize,
}

#[derive(Debug, Clone)]
pub(super) struct Hub {
    setup: HubSetup,
    watch: StillWatch,
    stops: Vec<PlainRest>,
}

/// What is known of a wheel before its first stop.
pub(super) fn before_stops(seated: &SeatedWheel) -> HubEvidence {
    let wheel = &seated.wheel;
    let spindle = wheel.mounting.spindle(wheel.side);
    HubEvidence {
        side: wheel.side,
        spindle: spindle.vec().to_array(),
        seat_by: seated.seat_by,
        seat_rad: wheel.mounting.trust().camber.rad(),
        floor: PlainFloor::of(&wheel.floor),
        accel: PlainAccel::of(&wheel.chip, &spindle),
        stops: Vec::new(),
    }
}

impl Hub {
    pub(super) fn start(setup: &HubSetup) -> Result<Self, StartError> {
        hold(setup.hold_us)?;
        repetitions(setup.stops, MOST_STOPS)?;
        Ok(Self {
            setup: *setup,
            watch: StillWatch::new(setup.seated.wheel.chip, setup.hold_us),
            stops: Vec::new(),
        })
    }

    fn evidence(&self) -> HubEvidence {
        HubEvidence {
            stops: self.stops.clone(),
            ..before_stops(&self.setup.seated)
        }
    }
}

impl Procedure for Hub {
    fn sample(&mut self, _: Side, sample: &Sample) -> Step {
        match self.watch.observe(sample) {
            Seen::Stop(stop) => {
                self.watch.keep(&stop);
                self.stops.push(PlainRest::of(&stop.measure));
                if self.stops.len() == self.setup.stops {
                    return self.finish();
                }
                Step::Go
            }
            Seen::Same | Seen::Left => {
                let seconds = self.watch.moving_s();
                if seconds > REST_LIMIT_S {
                    return Step::Refuse(CheckRefusal::NotStill {
                        seconds,
                        limit: REST_LIMIT_S,
                    });
                }
                Step::Go
            }
        }
    }

    fn finish(&mut self) -> Step {
        Step::Solve(Evidence::CamberOnHub(self.evidence()))
    }

    fn has_begun(&self) -> bool {
        !self.stops.is_empty()
    }

    fn phase(&self) -> Phase {
        if self.watch.is_holding() {
            Phase::Hold
        } else if self.stops.is_empty() {
            Phase::AwaitStill
        } else {
            Phase::Taken
        }
    }

    fn progress(&self) -> Progress {
        Progress {
            held_us: self.watch.held_us(),
            hold_needed_us: self.watch.hold_us(),
            taken: self.stops.len(),
            wanted: Some(self.setup.stops),
            steer: None,
            can_finish: !self.stops.is_empty(),
            hint: match self.phase() {
                Phase::Hold => Hint::HoldStill,
                Phase::Taken => Hint::BounceForNext,
                _ => Hint::LetRest,
            },
            carried: None,
        }
    }

    fn stops(&self) -> Vec<Stop> {
        let known = before_stops(&self.setup.seated);
        let shown = |rest: &PlainRest| Stop {
            camber: camber(&known, rest),
            ..Stop::default()
        };
        self.stops.iter().map(shown).collect()
    }
}

/// Camber of a wheel by one rest, taking it to point straight ahead.
pub(super) fn camber(wheel: &HubEvidence, rest: &PlainRest) -> Option<Angle> {
    let spindle: Dir<Board> = Dir::along(Vec3::from_array(wheel.spindle))?;
    let gravity = mirrored_up(wheel.side, wheel.floor.up());
    camber_at(&gravity, spindle.dot(&rest.up()?), Angle::ZERO)
}

/// What stays the same from stop to stop and so does not average out.
pub(super) fn shared_parts(wheel: &HubEvidence) -> [(CheckCause, Uncertainty); 4] {
    let seat = match wheel.seat_by {
        SeatBy::Declared => CheckCause::Seat,
        SeatBy::RunOut => CheckCause::RunOut,
    };
    // A board that leans along its scale error: half of sin 2x at worst.
    let by_scale = (0.5 * wheel.accel.scale).hypot(wheel.accel.cross_rad);
    [
        (CheckCause::AccelOffset, wheel.accel.offset_g),
        (CheckCause::AccelScale, by_scale),
        (seat, wheel.seat_rad),
        (CheckCause::Floor, wheel.floor.roll_rad[1]),
    ]
    .map(|(cause, standard)| (cause, Uncertainty::certain(standard)))
}

/// What is left of the scatter of `values` about their mean beyond `noise` of each, as a
/// contribution to the mean.
pub(super) fn scatter_of_mean(values: &[f64], noise: f64) -> Option<(f64, Uncertainty)> {
    let (mean, seen) = Uncertainty::of_mean(values).ok()?;
    let explained = noise * noise / values.len() as f64;
    let left = (seen.standard.powi(2) - explained).max(0.0).sqrt();
    Some((
        mean,
        Uncertainty::with_freedom(left, seen.degrees_of_freedom),
    ))
}

pub(super) fn solve(evidence: &HubEvidence) -> Result<CheckResult, CheckRefusal> {
    let values: Vec<f64> = evidence
        .stops
        .iter()
        .map(|rest| camber(evidence, rest).map(Angle::rad))
        .collect::<Option<_>>()
        .ok_or(CheckRefusal::NoCamber)?;
    let n = values.len();
    if n == 0 {
        return Err(CheckRefusal::TooFew { found: 0, least: 1 });
    }
    let mean = values.iter().sum::<f64>() / n as f64;
    let by_stop: Vec<Uncertainty> = evidence
        .stops
        .iter()
        .map(|rest| Uncertainty::with_freedom(rest.noise_rad / n as f64, rest.degrees_of_freedom))
        .collect();
    let noise = Uncertainty::combined(&by_stop);
    let mut parts = vec![(CheckCause::TiltNoise, noise)];
    if let Some((_, scatter)) = scatter_of_mean(&values, noise.standard * (n as f64).sqrt()) {
        parts.push((CheckCause::Scatter, scatter));
    }
    parts.extend(shared_parts(evidence));
    Ok(CheckResult {
        findings: vec![CheckFinding::of(
            Quantity::Camber,
            Some(evidence.side),
            mean,
            &parts,
        )],
        ..CheckResult::default()
    })
}
