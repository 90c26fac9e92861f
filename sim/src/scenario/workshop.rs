//! Joints, adjusters, damage, rims and locks of the file, with every value checked.

use nalgebra::Vector3;

use super::build::{angle, within};
use super::error::ScenarioError;
use super::file::{CarFile, FrontFile, RearFile, ScenarioFile};
use super::file_workshop::{
    AdjusterFile, AdjusterKindFile, AxleShiftedFile, BlockFile, BoltFile, BumpFile, DamageFile,
    DamageKindFile, HandFile, JointFile, JointsFile, LayoutFile, PlayFile, RimFile, ShiftedFile,
    SteeringFile,
};
use crate::car::{
    Adjuster, AdjusterKind, Bolt, BumpCurve, Car, Layout, Moves, Play, Rim, Setting, Shifted,
    SteeringGear, Suspension, Wheel, Workshop,
};
use crate::motion::{Block, Hand};

/// The car as it stands before the first step: damaged, and at its ride height.
pub(super) fn furnished(mut car: Car, file: &ScenarioFile) -> Result<Car, ScenarioError> {
    car.workshop = Workshop {
        gear: gear(&file.car.steering)?,
        adjusters: adjusters(&file.adjuster)?,
        ..Workshop::default()
    };
    for wheel in Wheel::ALL {
        let index = wheel.index();
        let key = |name: &str| format!("car.{wheel}.{name}");
        let (found, joints) = Found::at(wheel, &file.car);
        let workshop = &mut car.workshop;
        workshop.heights_m[index] =
            within(&key("height_mm"), found.height_mm, -150.0..=150.0)? * 1e-3;
        workshop.bump[index] = bump(&key("bump"), found.bump)?;
        workshop.play[index] = play(&key("play"), found.play)?;
        workshop.rims[index] = match found.rim {
            Some(rim) => rim_of(&key("rim"), rim)?,
            None => Rim::default(),
        };
        if let Some(joints) = joints {
            workshop.suspension[index] = suspension(&key("joints"), joints)?;
        }
    }
    for damage in &file.damage {
        damaged(&mut car, damage)?;
    }
    let setting = Setting::new(&car.workshop);
    car.set(&setting).map_err(|wheel| {
        ScenarioError::value(
            format!("damage of {wheel}"),
            "its joints do not reach that far",
            "move them by less",
        )
    })
}

/// How a hand carries a block.
pub(super) fn hand(file: &HandFile) -> Result<Hand, ScenarioError> {
    let usual = Hand::default();
    let size = |name: &str, value: Option<f64>, unit: f64, largest: f64, usual: f64| match value {
        Some(value) => within(&format!("hand.{name}"), value, 0.0..=largest).map(|v| v * unit),
        None => Ok(usual),
    };
    let degree = 1f64.to_radians();
    Ok(Hand {
        seed: usual.seed,
        tremble_radps: size(
            "tremble_dps",
            file.tremble_dps,
            degree,
            100.0,
            usual.tremble_radps,
        )?,
        pressed_radps: size(
            "pressed_dps",
            file.pressed_dps,
            degree,
            100.0,
            usual.pressed_radps,
        )?,
        lean_rad: size("lean_deg", file.lean_deg, degree, 90.0, usual.lean_rad)?,
        aside_rad: size("aside_deg", file.aside_deg, degree, 90.0, usual.aside_rad)?,
        detour_m: size("detour_mm", file.detour_mm, 1e-3, 5000.0, usual.detour_m)?,
        seat_rad: size("seat_deg", file.seat_deg, degree, 5.0, usual.seat_rad)?,
        seat_lean_rad: size(
            "seat_lean_deg",
            file.seat_lean_deg,
            degree,
            5.0,
            usual.seat_lean_rad,
        )?,
        level_rad: size("level_deg", file.level_deg, degree, 30.0, usual.level_rad)?,
    })
}

/// The block that it carries.
pub(super) fn block(file: &BlockFile) -> Result<Block, ScenarioError> {
    let [first, second] = file.lean_deg;
    Ok(Block {
        faces_rad: angle("block.faces_deg", file.faces_deg, 10.0)?,
        lean_rad: [
            angle("block.lean_deg", first, 10.0)?,
            angle("block.lean_deg", second, 10.0)?,
        ],
    })
}

/// What the file says of one wheel.
struct Found<'a> {
    height_mm: f64,
    bump: &'a BumpFile,
    play: &'a PlayFile,
    rim: Option<&'a RimFile>,
}

impl<'a> Found<'a> {
    fn at(wheel: Wheel, car: &'a CarFile) -> (Self, Option<&'a JointsFile>) {
        let front = |front: &'a FrontFile| {
            let found = Self {
                height_mm: front.height_mm,
                bump: &front.bump,
                play: &front.play,
                rim: front.rim.as_ref(),
            };
            (found, Some(&front.joints))
        };
        let rear = |rear: &'a RearFile| {
            let found = Self {
                height_mm: rear.height_mm,
                bump: &rear.bump,
                play: &rear.play,
                rim: rear.rim.as_ref(),
            };
            (found, None)
        };
        match wheel {
            Wheel::FrontLeft => front(&car.front_left),
            Wheel::FrontRight => front(&car.front_right),
            Wheel::RearLeft => rear(&car.rear_left),
            Wheel::RearRight => rear(&car.rear_right),
        }
    }
}

fn bump(key: &str, file: &BumpFile) -> Result<BumpCurve, ScenarioError> {
    let curve = |name: &str, first: f64, second: f64| {
        let first = angle(&format!("{key}.{name}_deg_per_mm"), first, 1.0)?;
        let second = angle(&format!("{key}.{name}_deg_per_mm2"), second, 0.1)?;
        Ok::<_, ScenarioError>([first * 1e3, second * 1e6])
    };
    Ok(BumpCurve {
        camber: curve("camber", file.camber_deg_per_mm, file.camber_deg_per_mm2)?,
        toe: curve("toe", file.toe_deg_per_mm, file.toe_deg_per_mm2)?,
    })
}

fn play(key: &str, file: &PlayFile) -> Result<Play, ScenarioError> {
    let end_to_end = |name: &str, value_deg: f64| {
        within(&format!("{key}.{name}"), value_deg, 0.0..=10.0).map(f64::to_radians)
    };
    Ok(Play {
        top_bottom_rad: end_to_end("top_bottom_deg", file.top_bottom_deg)?,
        front_rear_rad: end_to_end("front_rear_deg", file.front_rear_deg)?,
    })
}

fn rim_of(key: &str, file: &RimFile) -> Result<Rim, ScenarioError> {
    let run_out_mm = within(&format!("{key}.run_out_mm"), file.run_out_mm, 0.0..=20.0)?;
    let diameter_mm = within(
        &format!("{key}.diameter_mm"),
        file.diameter_mm,
        200.0..=800.0,
    )?;
    Ok(Rim {
        tilt_rad: (run_out_mm / diameter_mm).atan(),
        high_rad: angle(&format!("{key}.high_at_deg"), file.high_at_deg, 360.0)?,
    })
}

fn gear(file: &SteeringFile) -> Result<SteeringGear, ScenarioError> {
    let lock = |name: &str, lock_deg: f64| {
        within(&format!("car.steering.{name}"), lock_deg, 5.0..=50.0).map(f64::to_radians)
    };
    Ok(SteeringGear {
        ratio: within("car.steering.ratio", file.ratio.unwrap_or(16.0), 1.0..=40.0)?,
        off_centre_rad: angle("car.steering.off_centre_deg", file.off_centre_deg, 180.0)?,
        locks_rad: match (file.lock_left_deg, file.lock_right_deg) {
            (Some(left), Some(right)) => {
                Some([lock("lock_left_deg", left)?, lock("lock_right_deg", right)?])
            }
            (None, None) => None,
            _ => {
                return Err(ScenarioError::value(
                    "car.steering",
                    "one lock is given",
                    "give both lock_left_deg and lock_right_deg",
                ));
            }
        },
    })
}

fn suspension(key: &str, file: &JointsFile) -> Result<Suspension, ScenarioError> {
    let usual = Suspension::default();
    let length = |name: &str, value_mm: Option<f64>, usual_m: f64, smallest_mm: f64| {
        let value_mm = value_mm.unwrap_or(usual_m * 1e3);
        within(&format!("{key}.{name}"), value_mm, smallest_mm..=1200.0).map(|mm| mm * 1e-3)
    };
    let layout = match file.layout {
        LayoutFile::Strut => Layout::Strut,
        LayoutFile::Wishbone => Layout::Wishbone {
            arm_m: length("upper_arm_mm", file.upper_arm_mm, 0.24, 50.0)?,
            bolts_m: length("bolts_mm", file.bolts_mm, 0.2, 50.0)?,
            joint_ahead_m: length("joint_ahead_mm", file.joint_ahead_mm, 0.0, -500.0)?,
        },
    };
    Ok(Suspension {
        layout,
        joint_height_m: length(
            "joint_height_mm",
            file.joint_height_mm,
            usual.joint_height_m,
            50.0,
        )?,
        lower_below_m: length(
            "lower_below_mm",
            file.lower_below_mm,
            usual.lower_below_m,
            -200.0,
        )?,
        steering_arm_m: length(
            "steering_arm_mm",
            file.steering_arm_mm,
            usual.steering_arm_m,
            -400.0,
        )?,
        tie_rod_m: length("tie_rod_mm", file.tie_rod_mm, usual.tie_rod_m, 50.0)?,
    })
}

fn adjusters(files: &[AdjusterFile]) -> Result<Vec<Adjuster>, ScenarioError> {
    let mut adjusters: Vec<Adjuster> = Vec::with_capacity(files.len());
    for file in files {
        let key = format!("adjuster {} of {}", file.name, file.wheel);
        if adjusters
            .iter()
            .any(|known| known.wheel == file.wheel && known.name == file.name)
        {
            return Err(ScenarioError::value(
                key,
                "two of one name",
                "give each its own name",
            ));
        }
        let kind = kind(&key, file.wheel, &file.what)?;
        adjusters.push(Adjuster {
            wheel: file.wheel,
            name: file.name.clone(),
            kind,
            backlash: within(&format!("{key}: backlash"), file.backlash, 0.0..=90.0)? * kind.unit(),
            unsettled: within(
                &format!("{key}: needs_bounce"),
                file.needs_bounce,
                0.0..=1.0,
            )?,
        });
    }
    Ok(adjusters)
}

fn kind(key: &str, wheel: Wheel, file: &AdjusterKindFile) -> Result<AdjusterKind, ScenarioError> {
    let key = |name: &str| format!("{key}: {name}");
    let front_only = |name: &str| {
        if wheel.is_front() {
            Ok(())
        } else {
            Err(ScenarioError::value(
                key(name),
                "a wheel that does not steer has none",
                "use `eccentric` or `contact_shim` at a rear wheel",
            ))
        }
    };
    Ok(match file {
        AdjusterKindFile::TieRod(rod) => {
            front_only("tie_rod")?;
            AdjusterKind::TieRod {
                pitch_m: within(&key("pitch_mm"), rod.pitch_mm, 0.1..=10.0)? * 1e-3,
                sleeve: rod.sleeve,
            }
        }
        AdjusterKindFile::UpperArmShim(shim) => {
            front_only("upper_arm_shim")?;
            AdjusterKind::UpperArmShim {
                bolt: match shim.bolt {
                    BoltFile::Front => Bolt::Front,
                    BoltFile::Rear => Bolt::Rear,
                    BoltFile::Both => Bolt::Both,
                },
                inward: shim.inward,
            }
        }
        AdjusterKindFile::Eccentric(eccentric) => {
            let shifts = match eccentric.shifts {
                ShiftedFile::LowerArm => Shifted::LowerArm,
                ShiftedFile::UpperArm => Shifted::UpperArm,
                ShiftedFile::LinkBehind => Shifted::LinkBehind,
                ShiftedFile::LinkAhead => Shifted::LinkAhead,
            };
            let by_arm = matches!(shifts, Shifted::LowerArm | Shifted::UpperArm);
            let lever_mm = match eccentric.lever_mm {
                None if wheel.is_front() && by_arm => 1000.0,
                None => {
                    return Err(ScenarioError::value(
                        key("eccentric"),
                        "how far it is from what the knuckle turns about is not known",
                        "add `lever_mm = …`",
                    ));
                }
                Some(lever_mm) => lever_mm,
            };
            AdjusterKind::Eccentric {
                throw_m: within(&key("throw_mm"), eccentric.throw_mm, 0.1..=30.0)? * 1e-3,
                mark_rad: angle(&key("mark_deg"), eccentric.mark_deg, 180.0)?,
                shifts,
                lever_m: within(&key("lever_mm"), lever_mm, 30.0..=2000.0)? * 1e-3,
            }
        }
        AdjusterKindFile::ContactShim(shim) => AdjusterKind::ContactShim {
            plate_m: within(&key("plate_mm"), shim.plate_mm, 40.0..=400.0)? * 1e-3,
        },
        AdjusterKindFile::StrutBolt(_) => {
            front_only("strut_bolt")?;
            AdjusterKind::StrutBolt
        }
    })
}

fn damaged(car: &mut Car, file: &DamageFile) -> Result<(), ScenarioError> {
    if let DamageKindFile::AxleShifted(shifted) = &file.what {
        return axle_shifted(car, shifted);
    }
    let wheel = file.wheel.ok_or_else(|| {
        ScenarioError::value("damage", "of which wheel is not said", "add `wheel = …`")
    })?;
    let key = |name: &str| format!("damage of {wheel}: {name}");
    let mm = |name: &str, value_mm: f64| {
        within(&key(name), value_mm, -100.0..=100.0).map(|mm| mm * 1e-3)
    };
    let steered_only = |what: &str| {
        if wheel.is_front() {
            return Ok(());
        }
        let problem = "a wheel that does not steer has none";
        Err(ScenarioError::value(
            key(what),
            problem,
            "name a front wheel",
        ))
    };
    let mut moves = Moves::default();
    match &file.what {
        DamageKindFile::BentKnuckle(bent) => {
            moves.spindle_camber_rad = angle(&key("camber_deg"), bent.camber_deg, 15.0)?;
            moves.spindle_toe_rad = angle(&key("toe_deg"), bent.toe_deg, 15.0)?;
        }
        DamageKindFile::JointMoved(moved) => {
            steered_only("joint_moved")?;
            let by_m = Vector3::new(
                -mm("rearward_mm", moved.rearward_mm)?,
                mm("outward_mm", moved.outward_mm)?,
                0.0,
            );
            match moved.joint {
                JointFile::Lower => moves.lower_m = by_m,
                JointFile::Upper => moves.upper_m = by_m,
            }
        }
        DamageKindFile::BentSteeringArm(bent) => {
            steered_only("bent_steering_arm")?;
            car.workshop.arm_bend_rad[wheel.index()] =
                angle(&key("bend_deg"), bent.bend_deg, 15.0)?;
        }
        DamageKindFile::SetBack(set_back) => {
            moves.corner_m.x = -mm("by_mm", set_back.by_mm)?;
        }
        // Done above.
        DamageKindFile::AxleShifted(_) => {}
    }
    let damage = &mut car.workshop.damage[wheel.index()];
    *damage = damage.plus(&moves);
    Ok(())
}

/// The whole rear axle turned about its middle (+ thrust to the right) and shifted to the left.
fn axle_shifted(car: &mut Car, file: &AxleShiftedFile) -> Result<(), ScenarioError> {
    let turned_rad = angle("damage: turned_deg", file.turned_deg, 5.0)?;
    let left_m = within("damage: sideways_mm", file.sideways_mm, -100.0..=100.0)? * 1e-3;
    for wheel in [Wheel::RearLeft, Wheel::RearRight] {
        let s = wheel.side().sign();
        let half_track_m = car.corner(wheel).centre_m.y.abs();
        let (sin, cos) = turned_rad.sin_cos();
        let moves = Moves {
            spindle_toe_rad: s * turned_rad,
            corner_m: Vector3::new(
                s * half_track_m * sin,
                s * left_m + half_track_m * (cos - 1.0),
                0.0,
            ),
            ..Moves::default()
        };
        let damage = &mut car.workshop.damage[wheel.index()];
        *damage = damage.plus(&moves);
    }
    Ok(())
}
