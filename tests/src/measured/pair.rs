//! Both front wheels in one swing, the body leaning with the steering, and a
//! board on the body that sees it.

use std::fmt::Write as _;

use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::session::{
    MeasuredBefore, Role, Session, SessionBoard, Window, WindowKind, solve,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::BodyMotion;
use hubplumb_sim::{Scenario, Truth, Wheel, render};

use super::draws::Draws;
use super::trial::{Offs, offs, samples, us, warmed};
use super::vehicle::{FLOOR_DEG, PLATE_DEG, TOE_DEG};
use super::{Chip, Conditions, Way};

/// How far a body may lean where no board watches it, one sigma: it leans by up
/// to 0.4° to either side, all values alike, and dips by up to 0.15°, as in the
/// reference cases.
const ROLL_DEG: f64 = 0.23;
const PITCH_DEG: f64 = 0.09;
/// One sigma of the difference in pitch of two jackings.
const JACKING_DEG: f64 = 0.07;

/// Draws a car and measures both wheels, left first.
///
/// # Errors
/// What the program said where it refused.
pub fn pair(seed: u64, chip: Chip, watched: bool) -> Result<[Offs; 2], String> {
    let mut draws = Draws::new(seed);
    let car = Car::drawn(&mut draws, chip);
    let text = scenario(seed, &car, &mut draws, chip);
    let scenario = Scenario::from_toml(&text).map_err(|e| e.to_string())?;
    let truth = scenario.truth();
    let roles = [Role::Hub(Side::Left), Role::Hub(Side::Right), Role::Body];
    let boards = render(&scenario)
        .map_err(|e| e.to_string())?
        .iter()
        .zip(roles)
        .filter(|(_, role)| watched || *role != Role::Body)
        .map(|(recording, role)| {
            let samples = samples(recording, true);
            let chip = warmed(&Conditions::Operator.figures(chip), Way::Stops, &samples);
            SessionBoard {
                role,
                samples,
                chip,
                face: None,
                before: MeasuredBefore::default(),
                shares_clock: false,
            }
        })
        .collect();
    let session = Session {
        boards,
        floor: FloorSlope {
            roll: car.floor_measured[0],
            pitch: car.floor_measured[1],
        },
        toe: car.toe_measured,
        windows: windows(&truth),
        unwatched: BodyMotion {
            roll: Angle::from_deg(ROLL_DEG),
            pitch: Angle::from_deg(PITCH_DEG),
        },
        plate_standard: Angle::from_deg(car.plates_deg),
        jacking_pitch: Angle::from_deg(JACKING_DEG),
    };
    let outcome = solve(&session).map_err(|e| e.to_string())?;
    let off = |place: usize, wheel: Wheel| {
        let found = outcome.wheels[place]
            .as_ref()
            .map_err(|r| format!("{r:?}"))?;
        offs(found, truth.wheel(wheel).ok_or("no truth")?)
    };
    Ok([off(0, Wheel::FrontLeft)?, off(1, Wheel::FrontRight)?])
}

/// A car and what its operator measured.
struct Car {
    /// Caster, SAI, camber and toe of each wheel, degrees.
    wheels: [[f64; 4]; 2],
    floor_deg: [f64; 2],
    roll_at_20_deg: f64,
    pitch_at_20_deg: f64,
    stops_deg: [f64; 2],
    unlike_percent: f64,
    right_more_deg: f64,
    floor_measured: [Estimate; 2],
    toe_measured: [Estimate; 2],
    plates_deg: f64,
}

impl Car {
    fn drawn(draws: &mut Draws, chip: Chip) -> Self {
        let wheels = [0; 2].map(|_| {
            let (caster, sai) = (draws.between(-2.0, 12.0), draws.between(4.0, 18.0));
            let (camber, toe) = (draws.between(-4.0, 3.0), draws.between(-1.0, 1.0));
            [caster, sai, camber, toe]
        });
        let floor_deg = [0; 2].map(|_| draws.between(-2.0, 2.0));
        let (roll_at_20_deg, pitch_at_20_deg) =
            (draws.between(-0.4, 0.4), draws.between(0.0, 0.15));
        let stops_deg = [0; 2].map(|_| draws.between(18.0, 22.0));
        let unlike_percent = draws.between(3.0, 10.0);
        let right_more_deg = JACKING_DEG * draws.normal();
        let sigma = if chip == Chip::Ideal { 0.0 } else { 1.0 };
        let mut measured = |true_deg: f64, standard_deg: f64| {
            let read_deg = true_deg + sigma * standard_deg * draws.normal();
            Estimate::from_deg(read_deg, sigma * standard_deg)
        };
        Self {
            floor_measured: floor_deg.map(|deg| measured(deg, FLOOR_DEG)),
            toe_measured: wheels.map(|[_, _, _, toe]| measured(toe, TOE_DEG)),
            plates_deg: sigma * PLATE_DEG,
            wheels,
            floor_deg,
            roll_at_20_deg,
            pitch_at_20_deg,
            stops_deg,
            unlike_percent,
            right_more_deg,
        }
    }
}

/// Run-out left, run-out right, each corner jacked alone, then one swing.
fn script(car: &Car, draws: &mut Draws) -> String {
    let mut script = String::from("{ rest_s = 2, label = \"ground\" },\n");
    for side in ["left", "right"] {
        let _ = writeln!(script, "{{ jack_up = \"front_{side}\", over_s = 3 }},");
        for place in 0..4 {
            let turn = draws.between(86.0, 94.0);
            let _ = writeln!(
                script,
                "{{ rest_s = 3, label = \"runout_{side}_{place}\" }},\n\
                 {{ spin_deg = {turn}, wheel = \"front_{side}\", over_s = 2 }},"
            );
        }
        let _ = writeln!(
            script,
            "{{ jack_down = \"front_{side}\", over_s = 3 }},\n{{ rest_s = 2, label = \"between\" }},"
        );
    }
    let [to_left, to_right] = car.stops_deg;
    script
        + &format!(
            "{{ brake = \"locked\" }},\n{{ rest_s = 5, label = \"straight\" }},\n\
             {{ steer_to_deg = {to_left}, over_s = 2 }},\n{{ rest_s = 5, label = \"stop_left\" }},\n\
             {{ steer_to_deg = {}, over_s = 4 }},\n{{ rest_s = 5, label = \"stop_right\" }},\n\
             {{ steer_to_deg = 0, over_s = 2 }},\n{{ rest_s = 5, label = \"straight\" }},\n",
            -to_right
        )
}

fn boards(draws: &mut Draws, chip: Chip) -> String {
    ["front_left", "front_right", "body"]
        .map(|mount| {
            let quaternion = draws.quaternion();
            let lever = [0; 3].map(|_| draws.between(-120.0, 120.0));
            let offset_s = draws.between(0.0, 2.0);
            let ppm = draws.between(-50.0, 50.0);
            format!(
                "[[board]]\nmount = \"{mount}\"\nmounting = {{ quaternion_wxyz = {quaternion:?} }}\n\
                 lever_mm = {lever:?}\nrate_hz = 100\nwire = \"csv\"\nchip = {{ preset = \"{}\" }}\n\
                 clock = {{ offset_s = {offset_s}, rate_ppm = {ppm}, jitter_us = 15 }}\n",
                chip.preset()
            )
        })
        .concat()
}

fn scenario(seed: u64, car: &Car, draws: &mut Draws, chip: Chip) -> String {
    let boards = boards(draws, chip);
    let script = script(car, draws);
    let front = |[caster, sai, camber, toe]: [f64; 4]| {
        format!(
            "caster_deg = {caster}\nsai_deg = {sai}\ncamber_deg = {camber}\ntoe_deg = {toe}\naxis_inboard_mm = 70"
        )
    };
    format!(
        "name = \"drawn\"\nseed = {seed}\nbrake = \"free\"\nscript = [\n{script}]\n\
         [floor]\nroll_deg = {}\npitch_deg = {}\ngravity_mps2 = {}\n\
         [plates]\nreading_sigma_deg = {}\n\
         [car]\nname = \"Drawn\"\ntrack_mm = 1480\nwheelbase_mm = 2560\nwheel_radius_mm = 310\n\
         [car.front_left]\n{}\n[car.front_right]\n{}\n\
         [car.linkage]\nspread_at_20_percent = {}\n\
         [car.body]\nroll_at_20_deg = {}\npitch_at_20_deg = {}\n\
         [car.jack]\nright_more_deg = {}\n{boards}",
        car.floor_deg[0],
        car.floor_deg[1],
        draws.between(9.78, 9.83),
        car.plates_deg,
        front(car.wheels[0]),
        front(car.wheels[1]),
        car.unlike_percent,
        car.roll_at_20_deg,
        car.pitch_at_20_deg,
        car.right_more_deg,
    )
}

fn windows(truth: &Truth) -> Vec<Window> {
    let mut windows: Vec<Window> = Vec::new();
    for rest in &truth.rests {
        let label = rest.label.as_deref().unwrap_or_default();
        let (kind, corner) = match label {
            "straight" => (WindowKind::Straight, None),
            "stop_left" | "stop_right" => (WindowKind::Stop, None),
            _ if label.starts_with("runout_left") => (WindowKind::RunOutStop, Some(Side::Left)),
            _ if label.starts_with("runout_right") => (WindowKind::RunOutStop, Some(Side::Right)),
            _ => continue,
        };
        let window = Window {
            from: us(rest.from_s),
            to: us(rest.to_s),
            kind,
            corner,
            plates: [0, 1].map(|i| {
                (kind == WindowKind::Stop).then(|| Angle::from_deg(rest.wheels[i].plate_read_deg))
            }),
        };
        if let Some(before) = windows.last().copied() {
            windows.push(Window {
                from: before.to,
                to: window.from,
                kind: WindowKind::Move,
                plates: [None, None],
                ..window
            });
        }
        windows.push(window);
    }
    windows
}
