//! From the file's units to the simulation's, with every value checked.

use std::ops::RangeInclusive;
use std::sync::Arc;

use nalgebra::{Quaternion, UnitQuaternion, Vector3};

use super::Scenario;
use super::error::ScenarioError;
use super::file::{
    BoardFile, BrakeFile, CarFile, FrontFile, IdleFile, MountingFile, RearFile, ScenarioFile,
};
use super::steps;
use crate::board::{BoardSpec, Clock, Gatt, LinkKind, LinkSpec, Placement, Temperature};
use crate::car::{
    AxisAngles, BodyMotion, Car, Corner, Linkage, Mount, Slope, SteeringAxis, Wheel, Workshop,
    axis_direction, spindle_direction,
};
use crate::motion::Idle;

/// One daemon serves one car with up to 16 boards; a car has five places for them here.
pub(super) fn scenario(file: ScenarioFile) -> Result<Scenario, ScenarioError> {
    let sigma_deg = file.plates.reading_sigma_deg;
    within("plates.reading_sigma_deg", sigma_deg, 0.0..=5.0)?;
    let idle = idle(&file.car.idle)?;
    let boards = boards(&file.board)?;
    let faults = super::faults::plan(&file, &boards)?;
    let car = car(
        &file.car,
        Slope {
            roll_rad: angle("floor.roll_deg", file.floor.roll_deg, 10.0)?,
            pitch_rad: angle("floor.pitch_deg", file.floor.pitch_deg, 10.0)?,
        },
        within("floor.gravity_mps2", file.floor.gravity_mps2, 9.7..=9.9)?,
    )?;
    let car = Arc::new(super::workshop::furnished(car, &file)?);
    let tape_sigma_mm = file.strings.tape_sigma_mm;
    let scenario = Scenario {
        tape_sigma_m: within("strings.tape_sigma_mm", tape_sigma_mm, 0.0..=20.0)? * 1e-3,
        bar_seat_rad: angle("bar.seat_deg", file.bar.seat_deg, 10.0)?,
        hand: super::workshop::hand(&file.hand)?,
        block: super::workshop::block(&file.block)?,
        targets: file.targets,
        name: file.name,
        about: file.about,
        seed: file.seed,
        idle,
        starts_locked: file.brake == BrakeFile::Locked,
        plate_sigma_rad: sigma_deg.to_radians(),
        boards,
        faults,
        script: steps::script(file.script)?,
        car,
    };
    // A script that cannot be done is an error of the file, not of the run.
    scenario.timeline().extend(&scenario.script, 0.0)?;
    Ok(scenario)
}

fn car(file: &CarFile, floor: Slope, gravity_mps2: f64) -> Result<Car, ScenarioError> {
    let half_track_m = 0.5e-3 * within("car.track_mm", file.track_mm, 500.0..=3000.0)?;
    let wheelbase_m = 1e-3 * within("car.wheelbase_mm", file.wheelbase_mm, 1000.0..=6000.0)?;
    let radius_m = 1e-3 * within("car.wheel_radius_mm", file.wheel_radius_mm, 100.0..=1000.0)?;
    let front = |wheel, front: &FrontFile| front_corner(wheel, front, half_track_m, radius_m);
    let rear = |wheel, rear: &RearFile| {
        let key = |name| format!("car.{wheel}.{name}");
        Ok::<_, ScenarioError>(Corner {
            wheel,
            centre_m: Vector3::new(-wheelbase_m, wheel.side().sign() * half_track_m, 0.0),
            spindle: spindle_direction(
                wheel,
                angle(&key("camber_deg"), rear.camber_deg, 20.0)?,
                angle(&key("toe_deg"), rear.toe_deg, 10.0)?,
            ),
            steering: None,
            radius_m,
        })
    };
    let corners = [
        front(Wheel::FrontLeft, &file.front_left)?,
        front(Wheel::FrontRight, &file.front_right)?,
        rear(Wheel::RearLeft, &file.rear_left)?,
        rear(Wheel::RearRight, &file.rear_right)?,
    ];
    let linkage = linkage(file, &corners, wheelbase_m)?;
    let (body, jack) = (&file.body, &file.jack);
    Ok(Car {
        name: file.name.clone(),
        corners,
        linkage,
        body: BodyMotion {
            rest_roll_rad: angle("car.body.rest_roll_deg", body.rest_roll_deg, 10.0)?,
            rest_pitch_rad: angle("car.body.rest_pitch_deg", body.rest_pitch_deg, 10.0)?,
            steer_roll_rad: angle("car.body.roll_at_20_deg", body.roll_at_20_deg, 10.0)?,
            steer_pitch_rad: angle("car.body.pitch_at_20_deg", body.pitch_at_20_deg, 10.0)?,
            jack_roll_rad: angle("car.jack.roll_deg", jack.roll_deg, 10.0)?,
            jack_pitch_rad: angle("car.jack.pitch_deg", jack.pitch_deg, 10.0)?,
            jack_right_more_rad: angle("car.jack.right_more_deg", jack.right_more_deg, 10.0)?,
            droop_rad: angle("car.jack.droop_deg", jack.droop_deg, 15.0)?,
        },
        floor,
        gravity_mps2,
        workshop: Workshop::default(),
    })
}

fn front_corner(
    wheel: Wheel,
    front: &FrontFile,
    half_track_m: f64,
    radius_m: f64,
) -> Result<Corner, ScenarioError> {
    let key = |name| format!("car.{wheel}.{name}");
    let s = wheel.side().sign();
    let axis = AxisAngles {
        caster_rad: angle(&key("caster_deg"), front.caster_deg, 30.0)?,
        sai_rad: angle(&key("sai_deg"), front.sai_deg, 30.0)?,
    };
    let inboard_mm = within(
        &key("axis_inboard_mm"),
        front.axis_inboard_mm,
        -300.0..=300.0,
    )?;
    let behind_mm = within(&key("axis_behind_mm"), front.axis_behind_mm, -300.0..=300.0)?;
    Ok(Corner {
        wheel,
        centre_m: Vector3::new(0.0, s * half_track_m, 0.0),
        spindle: spindle_direction(
            wheel,
            angle(&key("camber_deg"), front.camber_deg, 20.0)?,
            angle(&key("toe_deg"), front.toe_deg, 10.0)?,
        ),
        steering: Some(SteeringAxis {
            direction: axis_direction(wheel, axis),
            to_centre_m: Vector3::new(behind_mm, s * inboard_mm, 0.0) * 1e-3,
        }),
        radius_m,
    })
}

fn linkage(
    file: &CarFile,
    corners: &[Corner; 4],
    wheelbase_m: f64,
) -> Result<Linkage, ScenarioError> {
    match (
        file.linkage.ackermann_percent,
        file.linkage.spread_at_20_percent,
    ) {
        (None, None) => Ok(Linkage::Parallel),
        (Some(percent), None) => {
            within("car.linkage.ackermann_percent", percent, -100.0..=200.0)?;
            let foot_y_m = |corner: &Corner| {
                corner
                    .ground_offsets()
                    .map_or(corner.centre_m.y, |ground| ground.axis_point_m.y)
            };
            let spacing_m = foot_y_m(&corners[0]) - foot_y_m(&corners[1]);
            Ok(Linkage::Ackermann {
                fraction: percent * 1e-2,
                half_ratio: 0.5 * spacing_m / wheelbase_m,
            })
        }
        (None, Some(percent)) => {
            within("car.linkage.spread_at_20_percent", percent, -30.0..=30.0)?;
            Ok(Linkage::Progressive {
                spread_at_20: percent * 1e-2,
            })
        }
        (Some(_), Some(_)) => Err(ScenarioError::value(
            "car.linkage",
            "two laws are given",
            "keep either ackermann_percent or spread_at_20_percent",
        )),
    }
}

fn idle(file: &IdleFile) -> Result<Idle, ScenarioError> {
    let usual = Idle::default();
    Ok(Idle {
        frequency_hz: match file.frequency_hz {
            Some(hz) => within("car.idle.frequency_hz", hz, 1.0..=500.0)?,
            None => usual.frequency_hz,
        },
        amplitude_g: match file.amplitude_mg {
            Some(mg) => within("car.idle.amplitude_mg", mg, 0.0..=1000.0)? * 1e-3,
            None => usual.amplitude_g,
        },
        rock_radps: match file.rock_dps {
            Some(dps) => within("car.idle.rock_dps", dps, 0.0..=50.0)?.to_radians(),
            None => usual.rock_radps,
        },
    })
}

fn boards(files: &[BoardFile]) -> Result<Vec<BoardSpec>, ScenarioError> {
    let mut boards: Vec<BoardSpec> = Vec::with_capacity(files.len());
    for file in files {
        if boards.iter().any(|board| board.mount == file.mount) {
            return Err(ScenarioError::value(
                format!("board {}", file.mount),
                "two boards on one mount",
                "give each its own mount",
            ));
        }
        boards.push(board(file)?);
    }
    if boards.is_empty() {
        return Err(ScenarioError::value(
            "board",
            "there is none",
            "add at least one [[board]]",
        ));
    }
    Ok(boards)
}

fn board(file: &BoardFile) -> Result<BoardSpec, ScenarioError> {
    let key = |name: &str| format!("board {}: {name}", file.mount);
    let lever = file.lever_mm;
    for component_mm in lever {
        within(&key("lever_mm"), component_mm, -5000.0..=5000.0)?;
    }
    let (clock, warmth) = (&file.clock, &file.temperature);
    let usual = Temperature::default();
    Ok(BoardSpec {
        mount: file.mount,
        placement: Placement {
            rotation: mounting(file.mount, &file.mounting)?,
            lever_m: Vector3::from(lever) * 1e-3,
        },
        rate_hz: within(&key("rate_hz"), file.rate_hz, 1.0..=2000.0)?,
        chip: super::chip::figures(file.mount, &file.chip)?,
        accel_bias_g: file.chip.accel_bias_mg.map(|mg| mg.map(|b| b * 1e-3)),
        gyro_bias_radps: file.chip.gyro_bias_dps.map(|dps| dps.map(f64::to_radians)),
        wire: file.wire.clone(),
        link: link(file.mount, file.link)?,
        clock: Clock {
            offset_s: within(&key("clock.offset_s"), clock.offset_s, 0.0..=1e6)?,
            rate_ppm: within(&key("clock.rate_ppm"), clock.rate_ppm, -1e5..=1e5)?,
            jitter_us: within(&key("clock.jitter_us"), clock.jitter_us, 0.0..=1e5)?,
            stamp_error_us: within(
                &key("clock.stamp_error_us"),
                clock.stamp_error_us,
                0.0..=1e5,
            )?,
            wraps: clock.wraps,
        },
        temperature: Temperature {
            start_c: within(
                &key("temperature.start_c"),
                warmth.start_c.unwrap_or(usual.start_c),
                -40.0..=85.0,
            )?,
            rise_c: within(
                &key("temperature.rise_c"),
                warmth.rise_c.unwrap_or(usual.rise_c),
                -60.0..=60.0,
            )?,
            settle_s: within(
                &key("temperature.settle_s"),
                warmth.settle_s.unwrap_or(usual.settle_s),
                1e-3..=1e5,
            )?,
        },
    })
}

fn link(mount: Mount, spec: LinkSpec) -> Result<LinkSpec, ScenarioError> {
    let key = |name: &str| format!("board {mount}: link.{name}");
    let faults = [
        ("loss_percent", spec.loss_percent),
        ("reorder_percent", spec.reorder_percent),
    ];
    for (name, percent) in faults {
        within(&key(name), percent, 0.0..=100.0)?;
        let loses = spec.kind == LinkKind::Udp
            || (spec.kind == LinkKind::Bluetooth && name == "loss_percent");
        if percent > 0.0 && !loses {
            return Err(ScenarioError::value(
                key(name),
                format!("a link of kind `{}` loses and swaps nothing", spec.kind),
                "take it out, or write `kind = \"udp\"`",
            ));
        }
    }
    within(&key("burst_ms"), spec.burst_ms, 0.0..=10_000.0)?;
    let is_on_air = spec.kind == LinkKind::Bluetooth;
    if !is_on_air && (spec.payload_bytes.is_some() || spec.gatt != Gatt::default()) {
        return Err(ScenarioError::value(
            key("gatt"),
            format!("a board on `{}` notifies of nothing", spec.kind),
            "take `gatt` and `payload_bytes` out, or write `kind = \"bluetooth\"`",
        ));
    }
    if is_on_air && spec.at.is_some() {
        return Err(ScenarioError::value(
            key("at"),
            "a board on `bluetooth` is at no place of the network".to_owned(),
            "take it out",
        ));
    }
    // The smallest MTU of 23 and the largest of 517, less a header of 3.
    let payload = f64::from(spec.payload_bytes.unwrap_or(20));
    within(&key("payload_bytes"), payload, 20.0..=514.0)?;
    let is_called = matches!(
        spec.kind,
        LinkKind::Pty | LinkKind::TcpServer | LinkKind::Bluetooth
    );
    if spec.from.is_some() && is_called {
        return Err(ScenarioError::value(
            key("from"),
            format!("a board on `{}` calls nobody", spec.kind),
            "take it out",
        ));
    }
    Ok(spec)
}

fn mounting(mount: Mount, file: &MountingFile) -> Result<nalgebra::Rotation3<f64>, ScenarioError> {
    let key = || format!("board {mount}: mounting");
    let declared = [file.x, file.y, file.z];
    let rotation = match file.quaternion_wxyz {
        Some(_) if declared.iter().any(Option::is_some) => {
            return Err(ScenarioError::value(
                key(),
                "both axes and a quaternion are given",
                "keep either x/y/z or quaternion_wxyz",
            ));
        }
        Some([w, x, y, z]) => UnitQuaternion::try_new(Quaternion::new(w, x, y, z), 1e-6)
            .filter(|unit| unit.coords.iter().all(|c| c.is_finite()))
            .ok_or_else(|| {
                ScenarioError::value(
                    key(),
                    "the quaternion has no length",
                    "give w, x, y, z of a rotation",
                )
            })?
            .to_rotation_matrix(),
        None => {
            let side = mount.wheel().map(Wheel::side);
            Placement::declared(file.x, file.y, file.z, side).map_err(|error| {
                ScenarioError::value(
                    key(),
                    error.to_string(),
                    "for example { x = \"forward\", z = \"out\" }, on the body { x = \"forward\", z = \"up\" }",
                )
            })?
        }
    };
    for component in file.misaligned_deg {
        angle(&format!("{}.misaligned_deg", key()), component, 45.0)?;
    }
    Ok(Placement::tilted(rotation, file.misaligned_deg))
}

/// A value that lies in a range; NaN lies in none.
pub(super) fn within(
    key: &str,
    value: f64,
    range: RangeInclusive<f64>,
) -> Result<f64, ScenarioError> {
    if range.contains(&value) {
        Ok(value)
    } else {
        Err(ScenarioError::value(
            key,
            format!("{value} is out of range"),
            format!("give a value from {} to {}", range.start(), range.end()),
        ))
    }
}

/// An angle within ± a limit, degrees to rad.
pub(super) fn angle(key: &str, value_deg: f64, limit_deg: f64) -> Result<f64, ScenarioError> {
    Ok(within(key, value_deg, -limit_deg..=limit_deg)?.to_radians())
}
