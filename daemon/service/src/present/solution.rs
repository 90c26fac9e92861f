//! What a recorded session found out, as `hubplumb solve` tells it.

use crate::text;
use hubplumb_core::session::{Role, SessionOutcome, Window, WindowKind};
use hubplumb_core::side::Side;
use hubplumb_core::swing::{AngleKind, Cause, Difference, Finding, Refusal, WheelOutcome};

use super::finding::{advice, cause_words};
use super::{refusal_trouble, sense_words, trouble};
use crate::recording::load::{FileRead, Loaded};
use crate::recording::session_file::{CornerEntry, KindEntry, PlateEntry, RoleEntry, WindowEntry};
use crate::recording::solution::{
    AngleName, BoardUse, DifferenceSolution, FindingSolution, ShareSolution, Solution, Told, Used,
    Verdict, WheelSolution, WindowsFrom,
};
use crate::recording::solve::side_of;

const DEG: f64 = 180.0 / std::f64::consts::PI;

/// The whole solution of a session; `notes` say what was left out.
pub fn solution(loaded: &Loaded, outcome: &SessionOutcome, mut notes: Vec<Told>) -> Solution {
    notes.extend(body_unused(loaded, outcome));
    let mut wheels: Vec<WheelSolution> = outcome.wheels.iter().filter_map(wheel_solution).collect();
    wheels.sort_by_key(|wheel| wheel.side == CornerEntry::Right);
    let verdict = if wheels.iter().all(|wheel| wheel.refusal.is_none()) {
        Verdict::Solved
    } else if wheels.iter().all(|wheel| wheel.findings.is_empty()) {
        Verdict::Refused
    } else {
        Verdict::PartlyRefused
    };
    Solution {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        verdict,
        refusal: None,
        wheels,
        differences: outcome.differences.iter().map(difference).collect(),
        boards: boards(loaded, Some(outcome)),
        windows_from: if loaded.session.windows.is_empty() {
            WindowsFrom::Movements
        } else {
            WindowsFrom::File
        },
        windows: outcome.windows.iter().map(window_entry).collect(),
        notes,
    }
}

/// A body board that could not be used has to be told: its place in the budget is another's.
fn body_unused(loaded: &Loaded, outcome: &SessionOutcome) -> Option<Told> {
    let read = loaded
        .files
        .iter()
        .find(|read| read.role == RoleEntry::Body)?;
    let used = outcome.used.iter().find(|used| used.role == Role::Body);
    used.is_none_or(|used| used.rests == 0).then(|| {
        Told::from(trouble(
            "body_unused",
            format!("The body board ({}) was not used.", read.file.display()),
            "Which way it points in the car is unknown, or it did not see every rest; how far the body may have moved is taken from unwatched_body.",
            "Declare its forward direction (`mount` in the session file), or record both front corners jacked in turn.",
        ))
    })
}

/// A session that could not be solved at all.
pub fn no_solution(loaded: &Loaded, refusal: Told, notes: Vec<Told>) -> Solution {
    Solution {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        verdict: Verdict::Refused,
        refusal: Some(refusal),
        wheels: Vec::new(),
        differences: Vec::new(),
        boards: boards(loaded, None),
        windows_from: if loaded.session.windows.is_empty() {
            WindowsFrom::Movements
        } else {
            WindowsFrom::File
        },
        windows: loaded.session.windows.iter().map(window_entry).collect(),
        notes,
    }
}

/// One wheel; none where nobody can say which it was.
pub fn wheel_solution(outcome: &Result<WheelOutcome, Refusal>) -> Option<WheelSolution> {
    let side = corner(side_of(outcome)?);
    let told = |refusal: &Refusal| Some(Told::from(refusal_trouble(refusal)));
    let mut wheel = WheelSolution {
        side,
        findings: Vec::new(),
        refusal: None,
        misfit_sigmas: None,
        left_out_rests: Vec::new(),
        covariance_deg2: None,
    };
    match outcome {
        Err(refusal) => wheel.refusal = told(refusal),
        Ok(found) => {
            wheel.findings.push(finding(&found.camber));
            match &found.axis {
                Err(refusal) => wheel.refusal = told(refusal),
                Ok(axis) => {
                    wheel
                        .findings
                        .extend([&axis.caster, &axis.sai, &axis.included].map(finding));
                    wheel.misfit_sigmas = Some(axis.misfit_sigmas);
                    wheel.left_out_rests.clone_from(&axis.left_out);
                    wheel.covariance_deg2 = Some(
                        axis.covariance_rad2
                            .map(|row| row.map(|cell| cell * DEG * DEG)),
                    );
                }
            }
        }
    }
    Some(wheel)
}

fn finding(finding: &Finding) -> FindingSolution {
    let value_deg = finding.estimate.value.deg();
    let expanded_deg = finding.expanded().deg();
    FindingSolution {
        angle: angle_name(finding.angle),
        value_deg,
        sense: sense_words(finding.angle, finding.estimate.value).to_string(),
        standard_deg: finding.estimate.standard.deg(),
        expanded_deg,
        coverage_factor: finding.coverage_factor(),
        degrees_of_freedom: finite(finding.degrees_of_freedom),
        interval_95_deg: [value_deg - expanded_deg, value_deg + expanded_deg],
        budget: finding
            .budget
            .contributions()
            .iter()
            .map(|part| ShareSolution {
                cause: cause_code(part.cause).to_owned(),
                words: cause_words(part.cause).to_string(),
                standard_deg: part.standard.deg(),
                share: part.share,
            })
            .collect(),
        advice: finding
            .budget
            .largest()
            .map_or(text!("There is nothing to make better."), |part| {
                advice(part.cause)
            })
            .to_string(),
        two_reading_deg: finding.two_reading.map(hubplumb_core::angle::Angle::deg),
    }
}

/// JSON has no infinity: none is certain.
fn finite(degrees_of_freedom: f64) -> Option<f64> {
    degrees_of_freedom.is_finite().then_some(degrees_of_freedom)
}

/// Left less right of one angle.
pub fn difference(difference: &Difference) -> DifferenceSolution {
    DifferenceSolution {
        angle: angle_name(difference.angle),
        value_deg: difference.estimate.value.deg(),
        standard_deg: difference.estimate.standard.deg(),
        expanded_deg: difference.expanded().deg(),
        degrees_of_freedom: finite(difference.degrees_of_freedom),
        correlation: difference.correlation,
    }
}

fn boards(loaded: &Loaded, outcome: Option<&SessionOutcome>) -> Vec<BoardUse> {
    let used_of = |role: Role| {
        let used = outcome?.used.iter().find(|used| used.role == role)?;
        (used.rests > 0).then_some(Used {
            rests: used.rests,
            turns: used.turns,
            run_out: used.run_out,
            rest_seconds: used.rest_seconds,
            clock_offset_us: used.clock_offset_us,
        })
    };
    loaded
        .files
        .iter()
        .zip(&loaded.session.boards)
        .map(|(read, board)| board_use(read, used_of(board.role)))
        .collect()
}

fn board_use(read: &FileRead, used: Option<Used>) -> BoardUse {
    let seconds = read.span.1.since_s(read.span.0);
    BoardUse {
        role: read.role,
        file: read.file.to_string_lossy().into_owned(),
        readings: read.readings,
        seconds,
        rate_hz: if seconds > 0.0 {
            (read.readings - 1) as f64 / seconds
        } else {
            0.0
        },
        has_gyro: read.has_gyro,
        saturated: read.saturated.len(),
        same_time: read.same_time,
        used,
    }
}

/// A window as it is written.
pub fn window_entry(window: &Window) -> WindowEntry {
    let [left, right] = window
        .plates
        .map(|plate| plate.map(hubplumb_core::angle::Angle::deg));
    WindowEntry {
        from_us: window.from.us(),
        to_us: window.to.us(),
        kind: match window.kind {
            WindowKind::Straight => KindEntry::Straight,
            WindowKind::Stop => KindEntry::Stop,
            WindowKind::RunOutStop => KindEntry::RunOutStop,
            WindowKind::Spin => KindEntry::Spin,
            WindowKind::Roll => KindEntry::Roll,
            WindowKind::Sweep => KindEntry::Sweep,
            WindowKind::Move => KindEntry::Move,
            WindowKind::Jacked => KindEntry::Jacked,
        },
        corner: window.corner.map(corner),
        plate_deg: (left.is_some() || right.is_some()).then_some(PlateEntry { left, right }),
    }
}

const fn corner(side: Side) -> CornerEntry {
    match side {
        Side::Left => CornerEntry::Left,
        Side::Right => CornerEntry::Right,
    }
}

/// A role in a sentence.
pub const fn role_words(role: RoleEntry) -> &'static str {
    match role {
        RoleEntry::Left => "left",
        RoleEntry::Right => "right",
        RoleEntry::Body => "body",
    }
}

const fn angle_name(kind: AngleKind) -> AngleName {
    match kind {
        AngleKind::Camber => AngleName::Camber,
        AngleKind::Caster => AngleName::Caster,
        AngleKind::Sai => AngleName::Sai,
        AngleKind::IncludedAngle => AngleName::IncludedAngle,
    }
}

const fn cause_code(cause: Cause) -> &'static str {
    match cause {
        Cause::TiltNoise => "tilt_noise",
        Cause::AccelOffset => "accel_offset",
        Cause::AccelScale => "accel_scale",
        Cause::SteerAngle => "steer_angle",
        Cause::RunOut => "run_out",
        Cause::MountHeading => "mount_heading",
        Cause::MountTilt => "mount_tilt",
        Cause::Toe => "toe",
        Cause::Floor => "floor",
        Cause::BodyMotion => "body_motion",
    }
}
