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
    let between = |d: &mut Draws, low: f64, high: f64| d.between(low, high);
    let wheel = |d: &mut Draws| {
        let (caster, sai) = (between(d, -2.0, 12.0), between(d, 4.0, 18.0));
        let (camber, toe) = (between(d, -4.0, 3.0), between(d, -1.0, 1.0));
        [caster, sai, camber, toe]
    };
    let wheels = [wheel(&mut draws), wheel(&mut draws)];
    let floor_deg = [0, 1].map(|_| draws.between(-2.0, 2.0));
    let (roll_deg, pitch_deg) = (draws.between(-0.4, 0.4), draws.between(0.0, 0.15));
    let stops_deg = [0, 1].map(|_| draws.between(18.0, 22.0));
    let unlike = draws.between(3.0, 10.0);
    let right_more_deg = JACKING_DEG * draws.normal();
    let sigma = if chip == Chip::Ideal { 0.0 } else { 1.0 };
    let measured_deg = floor_deg.map(|deg| deg + sigma * FLOOR_DEG * draws.normal());
    let toes = [0, 1].map(|i| {
        let deg = wheels[i][3] + sigma * TOE_DEG * draws.normal();
        Estimate::from_deg(deg, sigma * TOE_DEG)
    });
    let plates_deg = sigma * PLATE_DEG;
    let mut boards = String::new();
    for mount in ["front_left", "front_right", "body"] {
        let quaternion = draws.quaternion();
        let lever = [0; 3].map(|_| draws.between(-120.0, 120.0));
        let offset_s = draws.between(0.0, 2.0);
        let ppm = draws.between(-50.0, 50.0);
        let _ = writeln!(
            boards,
            "[[board]]\nmount = \"{mount}\"\nmounting = {{ quaternion_wxyz = {quaternion:?} }}\n\
             lever_mm = {lever:?}\nrate_hz = 100\nwire = \"csv\"\nchip = {{ preset = \"{}\" }}\n\
             clock = {{ offset_s = {offset_s}, rate_ppm = {ppm}, jitter_us = 15 }}",
            chip.preset()
        );
    }
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
    let _ = write!(
        script,
        "{{ brake = \"locked\" }},\n{{ rest_s = 5, label = \"straight\" }},\n\
         {{ steer_to_deg = {}, over_s = 2 }},\n{{ rest_s = 5, label = \"stop_left\" }},\n\
         {{ steer_to_deg = {}, over_s = 4 }},\n{{ rest_s = 5, label = \"stop_right\" }},\n\
         {{ steer_to_deg = 0, over_s = 2 }},\n{{ rest_s = 5, label = \"straight\" }},\n",
        stops_deg[0], -stops_deg[1]
    );
    let front = |i: usize| {
        let [caster, sai, camber, toe] = wheels[i];
        format!(
            "caster_deg = {caster}\nsai_deg = {sai}\ncamber_deg = {camber}\ntoe_deg = {toe}\naxis_inboard_mm = 70"
        )
    };
    let scenario = Scenario::from_toml(&format!(
        "name = \"drawn\"\nseed = {seed}\nbrake = \"free\"\nscript = [\n{script}]\n\
         [floor]\nroll_deg = {}\npitch_deg = {}\ngravity_mps2 = {}\n\
         [plates]\nreading_sigma_deg = {plates_deg}\n\
         [car]\nname = \"Drawn\"\ntrack_mm = 1480\nwheelbase_mm = 2560\nwheel_radius_mm = 310\n\
         [car.front_left]\n{}\n[car.front_right]\n{}\n\
         [car.linkage]\nspread_at_20_percent = {unlike}\n\
         [car.body]\nroll_at_20_deg = {roll_deg}\npitch_at_20_deg = {pitch_deg}\n\
         [car.jack]\nright_more_deg = {right_more_deg}\n{boards}",
        floor_deg[0],
        floor_deg[1],
        draws.between(9.78, 9.83),
        front(0),
        front(1)
    ))
    .map_err(|e| e.to_string())?;
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
            roll: Estimate::from_deg(measured_deg[0], sigma * FLOOR_DEG),
            pitch: Estimate::from_deg(measured_deg[1], sigma * FLOOR_DEG),
        },
        toe: toes,
        windows: windows(&truth),
        unwatched: BodyMotion {
            roll: Angle::from_deg(ROLL_DEG),
            pitch: Angle::from_deg(PITCH_DEG),
        },
        plate_standard: Angle::from_deg(plates_deg),
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
