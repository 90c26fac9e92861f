//! One car, measured.

use hubplumb_core::angle::Angle;
use hubplumb_core::calibrate::{Pose, Reversal, ReversalSetup};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::finding::Finding;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Board, Dir, Vec3};
use hubplumb_core::reading::Sample;
use hubplumb_core::rest::RestTally;
use hubplumb_core::session::{
    MeasuredBefore, Role, Session, SessionBoard, Window, WindowKind, solve,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::{BodyMotion, WheelOutcome};
use hubplumb_core::time::HostTime;
use hubplumb_sim::{Recording, Scenario, Truth, Wheel, WheelTruth, render};

use super::vehicle::{FLOOR_DEG, PLATE_DEG, SEAT_DEG, TOE_DEG};
use super::{Chip, Conditions, Vehicle, Way};

/// How far one angle is off, degrees.
#[derive(Debug, Clone, Copy)]
pub struct Off {
    /// Found less true.
    pub error_deg: f64,
    /// The stated standard uncertainty.
    pub standard_deg: f64,
    /// Half width of the stated 95 % interval.
    pub half_width_deg: f64,
}

/// Temperature at which the simulated chips have the errors of their making, °C.
const CALIBRATED_AT_C: f64 = 25.0;

/// Camber, caster and SAI of one trial.
pub type Offs = [Off; 3];

/// Draws a car and measures it.
///
/// # Errors
/// What the program said where it refused.
pub fn trial(seed: u64, chip: Chip, conditions: Conditions, way: Way) -> Result<Offs, String> {
    let vehicle = Vehicle::drawn(seed, chip, conditions, way);
    let scenario = Scenario::from_toml(&vehicle.scenario).map_err(|e| e.to_string())?;
    let recordings = render(&scenario).map_err(|e| e.to_string())?;
    let mut samples = samples(&recordings[0], false);
    let truth = scenario.truth();
    let mut figures = conditions.figures(chip);
    if way == Way::Reversed {
        turn_over(&vehicle, &truth, &mut samples, &mut figures)?;
    }
    let side = if vehicle.left {
        Side::Left
    } else {
        Side::Right
    };
    if way == Way::AnglesOnly {
        figures.angles_only = true;
        for sample in &mut samples {
            sample.accel_g = sample.accel_g * (1.0 / sample.accel_g.norm());
            sample.rate_radps = None;
        }
    }
    let figures = warmed(&figures, way, &samples);
    let sigma = if conditions == Conditions::Operator {
        1.0
    } else {
        0.0
    };
    let [roll, pitch] = vehicle.floor_measured_deg;
    let toe = Estimate::from_deg(vehicle.toe_measured_deg, sigma * TOE_DEG);
    let plates_deg = if chip == Chip::Ideal { 0.0 } else { PLATE_DEG };
    let session = Session {
        boards: vec![SessionBoard {
            role: Role::Hub(side),
            samples,
            chip: figures,
            face: None,
            before: MeasuredBefore::default(),
            shares_clock: true,
        }],
        floor: FloorSlope {
            roll: Estimate::from_deg(roll, sigma * FLOOR_DEG),
            pitch: Estimate::from_deg(pitch, sigma * FLOOR_DEG),
        },
        toe: [toe, toe],
        windows: windows(&truth, side),
        unwatched: BodyMotion {
            roll: Angle::ZERO,
            pitch: Angle::ZERO,
        },
        plate_standard: Angle::from_deg(plates_deg),
        jacking_pitch: Angle::from_deg(0.08),
    };
    let outcome = solve(&session).map_err(|e| e.to_string())?;
    let wheel = outcome.wheels[0].as_ref().map_err(|r| format!("{r:?}"))?;
    let mount = if vehicle.left {
        Wheel::FrontLeft
    } else {
        Wheel::FrontRight
    };
    offs(wheel, truth.wheel(mount).ok_or("no truth")?)
}

/// A wheel's findings against the truth.
pub(super) fn offs(wheel: &WheelOutcome, truth: &WheelTruth) -> Result<Offs, String> {
    let axis = wheel.axis.as_ref().map_err(|r| format!("{r:?}"))?;
    let off = |finding: &Finding, true_deg: f64| Off {
        error_deg: finding.estimate.value.deg() - true_deg,
        standard_deg: finding.estimate.standard.deg(),
        half_width_deg: finding.expanded().deg(),
    };
    Ok([
        off(&wheel.camber, truth.camber_deg),
        off(&axis.caster, truth.caster_deg.ok_or("no caster")?),
        off(&axis.sai, truth.sai_deg.ok_or("no SAI")?),
    ])
}

/// A recording as the core takes it, by the true time or by the board's own clock.
pub(super) fn samples(recording: &Recording, own_clock: bool) -> Vec<Sample> {
    recording
        .readings
        .iter()
        .map(|(at_us, reading)| Sample {
            at: match reading.device_time_us {
                Some(own_us) if own_clock => us(own_us * 1e-6),
                _ => HostTime::from_us(*at_us),
            },
            accel_g: Vec3::from_array(reading.accel_g.unwrap_or([0.0; 3])),
            rate_radps: reading.rate_radps.map(Vec3::from_array),
            temperature_c: reading.temperature_c,
        })
        .collect()
}

pub(super) fn us(seconds: f64) -> HostTime {
    #[expect(clippy::cast_possible_truncation, reason = "a session lasts minutes")]
    HostTime::from_us((seconds * 1e6) as i64)
}

/// The figures as far from the temperature of the calibration, or of the turn
/// end for end, as the chip was at the end of the session.
pub(super) fn warmed(figures: &ChipFigures, way: Way, samples: &[Sample]) -> ChipFigures {
    let temperature_c = |sample: Option<&Sample>| sample.and_then(|s| s.temperature_c);
    let then_c = match way {
        Way::Stops | Way::Swept | Way::AnglesOnly => Some(CALIBRATED_AT_C),
        Way::Reversed => temperature_c(samples.first()),
    };
    let now_c = temperature_c(samples.last());
    let difference_c = now_c.zip(then_c).map_or(0.0, |(now, then)| now - then);
    figures.drifted(difference_c, 0.0)
}

/// The rests by their labels, and the moves between those of the swing.
fn windows(truth: &Truth, side: Side) -> Vec<Window> {
    let mut windows: Vec<Window> = Vec::new();
    for rest in &truth.rests {
        let label = rest.label.as_deref().unwrap_or_default();
        let kind = match label {
            "straight" => WindowKind::Straight,
            "stop_left" | "stop_right" => WindowKind::Stop,
            _ if label.starts_with("runout") => WindowKind::RunOutStop,
            _ => continue,
        };
        let window = Window {
            from: us(rest.from_s),
            to: us(rest.to_s),
            kind,
            corner: (kind == WindowKind::RunOutStop).then_some(side),
            plates: [0, 1].map(|i| {
                (kind == WindowKind::Stop).then(|| Angle::from_deg(rest.wheels[i].plate_read_deg))
            }),
        };
        if let Some(before) = windows.last().copied()
            && before.corner.is_none()
        {
            let straight = |w: &Window| w.kind == WindowKind::Straight;
            windows.push(Window {
                from: before.to,
                to: window.from,
                kind: if straight(&before) && straight(&window) {
                    WindowKind::Sweep
                } else {
                    WindowKind::Move
                },
                plates: [None, None],
                ..window
            });
        }
        windows.push(window);
    }
    windows
}

/// Takes the offset along the spindle out, by the two rests of a turn end for
/// end, and says how well it is known from now on.
fn turn_over(
    vehicle: &Vehicle,
    truth: &Truth,
    samples: &mut [Sample],
    figures: &mut ChipFigures,
) -> Result<(), String> {
    let pose = |name: &str| -> Result<Pose, String> {
        let rest = truth
            .rests
            .iter()
            .find(|r| r.label.as_deref() == Some(name))
            .ok_or("no such rest")?;
        let mut tally = RestTally::new();
        let (from, to) = (us(rest.from_s + 0.3), us(rest.to_s - 0.1));
        for sample in samples.iter().filter(|s| from <= s.at && s.at <= to) {
            tally.add(sample);
        }
        tally.count_all();
        let measure = tally.measure(figures).ok_or("no rest")?;
        Ok(Pose::from_rest(&measure, None))
    };
    let board = &truth.boards[0];
    let about = Dir::along(Vec3::from_array(vehicle.about)).ok_or("no axis")?;
    // The board's face lies square to the spindle: its normal is the hub's y.
    let [w, x, y, z] = board.quaternion_wxyz;
    let spindle = [
        2.0 * (x * y + w * z),
        1.0 - 2.0 * (x * x + z * z),
        2.0 * (y * z - w * x),
    ];
    let sensing: Dir<Board> = Dir::along(Vec3::from_array(spindle)).ok_or("no axis")?;
    let setup =
        ReversalSetup::new(sensing, about, Angle::from_deg(SEAT_DEG)).map_err(|e| e.to_string())?;
    let reversal =
        Reversal::between(&setup, &pose("seat_a")?, &pose("seat_b")?).map_err(|e| e.to_string())?;
    for sample in samples.iter_mut() {
        sample.accel_g = sample.accel_g - reversal.offset();
    }
    figures.accel_settled = Some(reversal.settled());
    Ok(())
}
