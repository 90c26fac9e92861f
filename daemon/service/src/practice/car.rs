//! What the operator of the simulated car writes into the configuration, and
//! the truth for the page.
//!
//! The operator knows what a careful person can: how the boards were strapped
//! on and how squarely, the floor and the toe as a tape and a water level give
//! them. None of it is the truth to the last digit, and each has its stated
//! uncertainty.

use hubplumb_core::angle::Angle;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Dir, Vec3};
use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};
use hubplumb_core::side::Side;
use hubplumb_core::swing::AngleKind;
use hubplumb_sim::board::{BoardSpec, ChipFigures as SimChip, Preset};
use hubplumb_sim::{LiveSim, Truth, Wheel, judge};

use crate::config::{BoardConfig, Config, HttpConfig, LogConfig, PublishConfig, SwingConfig};
use crate::http::views::{ScenarioView, TruthView};
use crate::link::Target;
use crate::mount::Mount;
use crate::present::mount_view;
use crate::swing::Found;

/// A tape and a water level give angles to a tenth of a degree.
const SURVEYED_TO_DEG: f64 = 0.1;
/// One sigma of a figure rounded to that, and of the survey itself.
const SURVEY_STANDARD: Angle = Angle::from_deg(0.05);
/// Square on a machined plate.
const ON_A_PLATE: MountingTrust = MountingTrust {
    camber: Angle::from_deg(0.05),
    pitch: Angle::from_deg(0.05),
    heading: Angle::from_deg(0.1),
};
/// Strapped on by hand and eye.
const BY_HAND: MountingTrust = MountingTrust {
    camber: Angle::from_deg(0.5),
    pitch: Angle::from_deg(0.8),
    heading: Angle::from_deg(0.8),
};
/// Farther off than this a board is not strapped on straight by anybody's eye.
const BY_HAND_LIMIT_DEG: f64 = 5.0;
/// Squarer than this only a plate makes it.
const PLATE_LIMIT_DEG: f64 = 0.1;

/// The configuration for a simulated car.
pub(crate) fn config(sim: &LiveSim, http: HttpConfig) -> Config {
    let truth = sim.truth();
    let toe = |wheel| {
        let toe_deg = truth.wheel(wheel).map_or(0.0, |truth| truth.toe_deg);
        surveyed(toe_deg)
    };
    let leans = sim.scenario().car().body.steer_roll_rad != 0.0;
    let usual = SwingConfig::default();
    let (body_roll, body_pitch) =
        // A body that is seen to lean: what counts where no board on it watches.
        if leans { (Angle::from_deg(0.4), Angle::from_deg(0.15)) } else { (usual.body_roll, usual.body_pitch) };
    Config {
        log: LogConfig::default(),
        http,
        floor: FloorSlope {
            roll: surveyed(truth.floor.roll_deg),
            pitch: surveyed(truth.floor.pitch_deg),
        },
        swing: SwingConfig {
            toe_left: toe(Wheel::FrontLeft),
            toe_right: toe(Wheel::FrontRight),
            plate_standard: Angle::from_rad(sim.scenario().plate_sigma_rad()),
            body_roll,
            body_pitch,
            ..usual
        },
        // What is invented goes to nobody's broker.
        publish: PublishConfig::default(),
        boards: sim
            .boards()
            .iter()
            .zip(sim.scenario().boards())
            .map(|(port, spec)| {
                let (mounting, away) = sits(spec);
                BoardConfig {
                    id: port.port.clone(),
                    name: Mount::named(spec.mount.name())
                        .map_or_else(|| "board".to_owned(), |mount| mount.words().to_string()),
                    target: port
                        .port
                        .parse()
                        .unwrap_or_else(|_| Target::Path(port.path.clone())),
                    mount: Mount::named(spec.mount.name()),
                    baud: Some(115_200),
                    format: Some(port.wire_format.clone()),
                    chip: chip(spec),
                    calibration: calibration(spec),
                    mounting,
                    away,
                }
            })
            .collect(),
    }
}

fn surveyed(true_deg: f64) -> Estimate {
    let rounded_deg = (true_deg / SURVEYED_TO_DEG).round() * SURVEYED_TO_DEG;
    Estimate::new(Angle::from_deg(rounded_deg), SURVEY_STANDARD)
}

fn chip(spec: &BoardSpec) -> ChipFigures {
    [
        (Preset::Ideal, ChipFigures::IDEAL),
        (Preset::Good, ChipFigures::GOOD),
        (Preset::Cheap, ChipFigures::CHEAP),
        (Preset::Inclinometer, ChipFigures::INCLINOMETER),
    ]
    .into_iter()
    .find(|(preset, _)| SimChip::from(*preset) == spec.chip)
    .map_or(ChipFigures::RAW, |(_, figures)| figures)
}

/// Every chip but one out of the bag has its calibration inside.
fn calibration(spec: &BoardSpec) -> Calibration {
    const UNIT: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    if spec.chip.accel.bias >= SimChip::from(Preset::RawCheap).accel.bias {
        return Calibration::none();
    }
    Calibration::from_parts([0.0; 3], UNIT, [0.0; 3], UNIT).unwrap_or_else(|_| Calibration::none())
}

/// How the operator sees the board sit: a face, or for a board at any angle
/// only the axis away from the car, the rest being found by turning the wheel;
/// nothing on the body.
fn sits(spec: &BoardSpec) -> (Option<Mounting>, Option<BoardAxis>) {
    let Some(side) = Mount::named(spec.mount.name()).and_then(Mount::side) else {
        return (None, None);
    };
    let rotation = spec.placement.rotation.matrix();
    let outward = match side {
        Side::Left => 1.0,
        Side::Right => -1.0,
    };
    // A row of the rotation is a hub axis in the board's own axes.
    let row = |index: usize, sign: f64| [0, 1, 2].map(|column| sign * rotation[(index, column)]);
    let (outboard, up) = (row(1, outward), row(2, 1.0));
    let (outboard_axis, outboard_off_deg) = nearest(outboard, None);
    let (up_axis, up_off_deg) = nearest(up, Some(outboard_axis));
    let off_deg = outboard_off_deg.max(up_off_deg);
    if off_deg > BY_HAND_LIMIT_DEG {
        return (None, Some(outboard_axis));
    }
    let trust = if off_deg < PLATE_LIMIT_DEG {
        ON_A_PLATE
    } else {
        BY_HAND
    };
    let mounting = Mounting::declared(side, outboard_axis, up_axis, trust).inspect_err(
        |error| tracing::error!(%error, mount = %spec.mount, "the board's mounting cannot be said"),
    );
    (mounting.ok(), None)
}

/// The printed axis nearest to a direction, not along `taken`, and how far off it is, degrees.
fn nearest(direction: [f64; 3], taken: Option<BoardAxis>) -> (BoardAxis, f64) {
    let axes = [
        (BoardAxis::XPlus, BoardAxis::XMinus, direction[0]),
        (BoardAxis::YPlus, BoardAxis::YMinus, direction[1]),
        (BoardAxis::ZPlus, BoardAxis::ZMinus, direction[2]),
    ];
    axes.into_iter()
        .map(|(plus, minus, along)| {
            (
                if along >= 0.0 { plus } else { minus },
                plus,
                minus,
                along.abs(),
            )
        })
        .filter(|(_, plus, minus, _)| taken.is_none_or(|taken| taken != *plus && taken != *minus))
        .max_by(|a, b| a.3.total_cmp(&b.3))
        .map_or((BoardAxis::ZPlus, 180.0), |(axis, ..)| {
            let off = Dir::along(Vec3::from_array(direction)).map(|d| d.angle_to(&axis.dir()));
            (axis, off.map_or(180.0, Angle::deg))
        })
}

/// The truth for the page.
pub(crate) fn scenario_view(sim: &LiveSim) -> ScenarioView {
    let Truth { wheels, seed, .. } = sim.truth();
    ScenarioView {
        name: sim.scenario().name().to_owned(),
        about: sim.scenario().about().to_owned(),
        seed,
        wheels: wheels
            .iter()
            .filter_map(|wheel| {
                Some(TruthView {
                    mount: mount_view(Mount::named(wheel.mount.name())?),
                    camber_deg: wheel.camber_deg,
                    caster_deg: wheel.caster_deg?,
                    sai_deg: wheel.sai_deg?,
                    included_deg: wheel.included_deg?,
                })
            })
            .collect(),
    }
}

/// Findings in the form the simulator judges.
pub(crate) fn judged_findings(found: &Found) -> Vec<judge::Finding> {
    let mut findings = vec![&found.wheel.camber];
    if let Ok(axis) = &found.wheel.axis {
        findings.extend([&axis.caster, &axis.sai, &axis.included]);
    }
    findings
        .into_iter()
        .map(|finding| judge::Finding {
            mount: match found.wheel.side {
                Side::Left => Wheel::FrontLeft,
                Side::Right => Wheel::FrontRight,
            },
            angle: match finding.angle {
                AngleKind::Camber => judge::Angle::Camber,
                AngleKind::Caster => judge::Angle::Caster,
                AngleKind::Sai => judge::Angle::Sai,
                AngleKind::IncludedAngle => judge::Angle::IncludedAngle,
            },
            value_deg: finding.estimate.value.deg(),
            expanded_deg: finding.expanded().deg(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_printed_axis_is_found() {
        let check = |direction, taken, axis| assert_eq!(nearest(direction, taken).0, axis);
        check([0.1, -0.9, 0.2], None, BoardAxis::YMinus);
        check([0.8, 0.1, -0.2], Some(BoardAxis::XPlus), BoardAxis::ZMinus);
        assert!(nearest([0.0, 0.0, 1.0], None).1 < 1e-9);
    }

    #[test]
    fn every_board_on_a_wheel_of_every_shipped_scenario_is_said_to_sit_somehow() {
        for name in hubplumb_sim::Scenario::shipped_names() {
            let scenario = hubplumb_sim::Scenario::shipped(name).unwrap();
            for spec in scenario.boards() {
                let on_a_wheel = spec.mount.wheel().is_some();
                let (mounting, away) = sits(spec);
                assert_eq!(
                    mounting.is_some() || away.is_some(),
                    on_a_wheel,
                    "{name}: {}",
                    spec.mount
                );
                assert!(mounting.is_none() || away.is_none(), "{name}");
            }
        }
    }
}
