//! Made readings of boards that move as somebody says.

use hubplumb_core::angle::Angle;
use hubplumb_core::check::{
    Check, CheckFinding, CheckRefusal, CheckResult, CheckSetup, Ended, Quantity, SeatBy,
    SeatedWheel, solve,
};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::Vec3;
use hubplumb_core::live::WheelSetup;
use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};
use hubplumb_core::reading::Sample;
use hubplumb_core::side::Side;
use hubplumb_core::time::HostTime;
use nalgebra::{Matrix3, Rotation3, UnitQuaternion, Vector3};
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

pub(crate) const RATE_HZ: f64 = 100.0;

pub(crate) struct Dice(pub(crate) ChaCha8Rng);

impl Dice {
    pub(crate) fn of(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    pub(crate) fn normal(&mut self, sigma: f64) -> f64 {
        let drawn: f64 = StandardNormal.sample(&mut self.0);
        sigma * drawn
    }

    pub(crate) fn vector(&mut self, sigma: f64) -> Vector3<f64> {
        Vector3::from_fn(|_, _| self.normal(sigma))
    }
}

/// What a made board does wrong.
pub(crate) struct Faults {
    pub(crate) chip: ChipFigures,
    pub(crate) accel_offset_g: Vector3<f64>,
    pub(crate) gyro_scale: f64,
    /// Vibration between the two times, g.
    pub(crate) shaken: Option<(f64, f64, f64)>,
}

impl Faults {
    pub(crate) fn none(chip: ChipFigures) -> Self {
        Self {
            chip,
            accel_offset_g: Vector3::zeros(),
            gyro_scale: 0.0,
            shaken: None,
        }
    }
}

/// Readings of a board whose axes in the room are the columns of `pose`.
pub(crate) fn readings(
    seconds: f64,
    pose: impl Fn(f64) -> Rotation3<f64>,
    faults: &Faults,
    dice: &mut Dice,
) -> Vec<Sample> {
    let gyro_zero = Vector3::new(0.004, -0.01, 0.007);
    let per_reading = (RATE_HZ / 2.0).sqrt();
    (0..(seconds * RATE_HZ) as i64)
        .map(|i| {
            let t = i as f64 / RATE_HZ;
            let step = 0.5 / RATE_HZ;
            let turn = pose(t - step).inverse() * pose(t + step);
            // By the quaternion: of a turn next to none the matrix gives no angle.
            let turn = UnitQuaternion::from_rotation_matrix(&turn).scaled_axis();
            let rate = turn * RATE_HZ * (1.0 + faults.gyro_scale)
                + gyro_zero
                + dice.vector(faults.chip.gyro_noise_radps_rthz * per_reading);
            let shaken = match faults.shaken {
                Some((from, to, g)) if t > from && t < to => g,
                _ => 0.0,
            };
            let force = pose(t).inverse() * Vector3::z()
                + faults.accel_offset_g
                + dice.vector((faults.chip.accel_noise_g_rthz * per_reading).hypot(shaken));
            Sample {
                at: HostTime::from_us((t * 1e6).round() as i64),
                accel_g: Vec3::new(force.x, force.y, force.z),
                rate_radps: Some(Vec3::new(rate.x, rate.y, rate.z)),
                temperature_c: None,
            }
        })
        .collect()
}

/// Values held and gone between smoothly: (value, seconds held), moves of `over` seconds.
pub(crate) fn profile(stops: &[(f64, f64)], over: f64) -> impl Fn(f64) -> f64 + use<> {
    let stops = stops.to_vec();
    move |t| {
        let mut start = 0.0;
        for pair in stops.windows(2) {
            let ((a, held), (b, _)) = (pair[0], pair[1]);
            if t < start + held {
                return a;
            }
            start += held;
            if t < start + over {
                let u = (t - start) / over;
                return a + (b - a) * u * u * u * (10.0 - 15.0 * u + 6.0 * u * u);
            }
            start += over;
        }
        stops.last().unwrap().0
    }
}

/// Axes of a board on a hub: Z outboard, Y up as far as it can be, columns in the room.
pub(crate) fn on_hub(side: Side, camber_deg: f64, toe_deg: f64) -> Rotation3<f64> {
    let (camber, toe) = (camber_deg.to_radians(), toe_deg.to_radians());
    let z = Vector3::new(
        camber.cos() * toe.sin(),
        side.sign() * camber.cos() * toe.cos(),
        -camber.sin(),
    );
    let y = (Vector3::z() - z * z.z).normalize();
    Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[y.cross(&z), y, z]))
}

pub(crate) fn floor(roll_deg: f64, standard_deg: f64) -> FloorSlope {
    FloorSlope {
        roll: Estimate::from_deg(roll_deg, standard_deg),
        pitch: Estimate::from_deg(0.0, standard_deg),
    }
}

pub(crate) fn wheel(side: Side, chip: ChipFigures, seat_deg: f64) -> WheelSetup {
    let sigma = Angle::from_deg(seat_deg);
    let trust = MountingTrust {
        camber: sigma,
        pitch: sigma,
        heading: sigma,
    };
    WheelSetup {
        side,
        chip,
        mounting: Mounting::declared(side, BoardAxis::ZPlus, BoardAxis::YPlus, trust).unwrap(),
        floor: floor(0.0, 0.0),
    }
}

pub(crate) fn seated(wheel: &WheelSetup) -> SeatedWheel {
    SeatedWheel {
        wheel: *wheel,
        seat_by: SeatBy::Declared,
    }
}

/// Plays streams of one or both sides through a check.
pub(crate) fn play(setup: CheckSetup, streams: &[(Side, Vec<Sample>)]) -> Check {
    let mut check = Check::start(setup).unwrap();
    let longest = streams.iter().map(|(_, all)| all.len()).max().unwrap_or(0);
    for i in 0..longest {
        for (side, stream) in streams {
            if let Some(sample) = stream.get(i) {
                check.sample(*side, sample);
            }
        }
    }
    check
}

/// The result; kept evidence gives the same again.
#[track_caller]
pub(crate) fn found(check: &Check) -> CheckResult {
    match check.ended() {
        Some(Ended::Found { evidence, result }) => {
            assert_eq!(solve(evidence).as_ref(), Ok(result));
            result.clone()
        }
        other => panic!("{:?}: {other:?}", check.phase()),
    }
}

#[track_caller]
pub(crate) fn refused(check: &Check) -> CheckRefusal {
    match check.ended() {
        Some(Ended::Refused { refusal, .. }) => *refusal,
        other => panic!("{:?}: {other:?}", check.phase()),
    }
}

#[track_caller]
pub(crate) fn finding(
    result: &CheckResult,
    quantity: Quantity,
    side: Option<Side>,
) -> &CheckFinding {
    let mut all = result.findings.iter();
    all.find(|f| f.quantity == quantity && f.side == side)
        .unwrap_or_else(|| panic!("no {quantity:?} of {side:?}: {result:?}"))
}

/// Is the truth within the stated interval?
pub(crate) fn holds(finding: &CheckFinding, truth: f64) -> bool {
    (finding.estimate.value.deg() - truth).abs() <= finding.expanded().deg()
}

/// 95 in 100 within what chance allows of so many trials: three standard deviations.
#[track_caller]
pub(crate) fn covers(held: usize, trials: usize, what: &str) {
    let share = held as f64 / trials as f64;
    let spread = 3.0 * (0.95 * 0.05 / trials as f64).sqrt();
    println!("{what}: {held} of {trials}");
    assert!(
        (share - 0.95).abs() <= spread,
        "{what}: {share} of {trials}"
    );
}
