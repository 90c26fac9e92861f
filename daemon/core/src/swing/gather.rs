//! From what the wheels showed to evidence for the solver.

use crate::angle::Angle;
use crate::attitude::Stance;
use crate::estimate::Estimate;
use crate::floor::FloorSlope;
use crate::frames::Dir;
use crate::joint::evidence::{
    BodyEvidence, DeclaredSpindle, RestEvidence, SwingEvidence, TurnEvidence, WheelEvidence,
};
use crate::swing::outcome::{Candidate, Mark};
use crate::swing::step::{RestWheel, Whereabouts};
use crate::swing::watch::WheelWatch;
use crate::swing::{SteerSource, SwingSetup};

/// Where the wheel was turned on its bearing the declared spindle says which
/// end is outboard, and nothing besides.
pub const SENSE_ONLY: Angle = Angle::from_deg(20.0);

/// The session without its wheels.
pub(super) fn session(
    setup: &SwingSetup,
    body: Option<BodyEvidence>,
    rests: usize,
) -> SwingEvidence {
    let level = FloorSlope::presumed_level(Angle::ZERO);
    SwingEvidence {
        floor: setup.wheels.first().map_or(level, |w| w.wheel.floor),
        wheels: Vec::new(),
        body,
        unwatched: setup.body,
        rests,
    }
}

/// One wheel's evidence; none when a plate reading is missing.
pub(super) fn candidate(
    setup: &SwingSetup,
    watch: &WheelWatch,
    straight: &[bool],
) -> Option<Candidate> {
    let wheel = &watch.setup.wheel;
    let plates = setup.steer_source == SteerSource::Plates;
    let mut marks = Vec::new();
    let mut rests = Vec::new();
    let mut turns = Vec::new();
    let mut walked = 0.0_f64;
    for (place, (rest, straight)) in watch.rests.iter().zip(straight).enumerate() {
        // The plates are set to zero at the first rest; at the last one
        // they are read like anywhere, and presumed zero if they are not.
        let plate = (plates && place > 0).then(|| rest.plate.or(straight.then_some(Angle::ZERO)));
        let plate = match plate {
            Some(read) => Some(Estimate::new(read?, setup.plate_standard)),
            None => None,
        };
        let steer = match plate {
            Some(plate) => plate.value,
            None if plates => Angle::ZERO,
            None => watch.rest_steer(rest)?,
        };
        walked = walked.hypot(rest.turn_noise.rad());
        let by_gyro = walked.hypot(wheel.chip.gyro_scale * steer.rad());
        let steer_standard = plate.map_or(Angle::from_rad(by_gyro), |p| p.standard);
        marks.push(Mark {
            steer,
            steer_standard,
            straight: *straight,
        });
        rests.push(RestEvidence::rested(place, &rest.measure, plate));
        if let Some(turn) = rest.turn {
            let noise_rad = rest.turn_noise.rad();
            turns.push(TurnEvidence {
                from: place - 1,
                to: place,
                turn_rad: turn.to_vector(),
                noise_rad,
            });
        }
    }
    let run_out = watch.setup.run_out.clone();
    let trust = wheel.mounting.trust();
    let (heading, lean) = if run_out.is_empty() {
        (trust.heading, trust.camber)
    } else {
        (SENSE_ONLY, SENSE_ONLY)
    };
    let evidence = WheelEvidence {
        side: wheel.side,
        chip: wheel.chip,
        rests,
        turns,
        run_out,
        declared: Some(DeclaredSpindle {
            outboard: wheel.mounting.spindle(wheel.side),
            heading,
            lean,
        }),
        toe: watch.setup.toe,
    };
    Some(Candidate {
        evidence,
        mounting: wheel.mounting,
        marks,
        at: watch.rests.last()?.measure.to,
    })
}

/// What a wheel showed at a rest.
pub(super) fn rest_wheel(watch: &WheelWatch, index: usize) -> Option<RestWheel> {
    let rest = watch.rest(index)?;
    let wheel = &watch.setup.wheel;
    let steer = watch.rest_steer(&rest);
    let toe = watch.setup.toe.value - steer.unwrap_or(Angle::ZERO) * wheel.side.sign();
    let up = Dir::along(rest.measure.accel_g)?;
    let stance = Stance::at_heading(wheel.side, &wheel.mounting, wheel.floor.up(), up, toe)?;
    let by_gyro = watch.steer_by_gyro(&rest);
    Some(RestWheel {
        side: wheel.side,
        steer: by_gyro,
        plate: rest.plate,
        camber: stance.camber,
        camber_standard: wheel.camber_standard(rest.measure.direction_noise),
    })
}

/// Where a wheel stands after so many rests: carried on from the last one, where gravity
/// was seen, so that what the gyro gathered up to there is not in it.
pub(super) fn whereabouts(watch: &WheelWatch, rests: usize) -> Option<Whereabouts> {
    let (now, since) = watch.turned_since_rest()?;
    let rest = rest_wheel(watch, rests.checked_sub(1)?)?;
    Some(Whereabouts {
        side: rest.side,
        steer: now.steer,
        camber: rest.camber + (now.camber - since.camber),
    })
}
