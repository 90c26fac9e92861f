//! A solution as a table for a person.

use std::fmt::Write as _;

use super::solution::role_words;
use crate::recording::session_file::{CornerEntry, RoleEntry};
use crate::recording::solution::{
    AngleName, BoardUse, DifferenceSolution, FindingSolution, Solution, Told, WheelSolution,
    WindowsFrom,
};

/// The whole solution.
pub fn solution_table(solution: &Solution) -> String {
    let mut text = String::new();
    if let Some(refusal) = &solution.refusal {
        text.push_str("Refused\n");
        told(&mut text, refusal);
        text.push('\n');
    }
    for wheel in &solution.wheels {
        self::wheel(&mut text, wheel);
        text.push('\n');
    }
    if !solution.differences.is_empty() {
        differences(&mut text, &solution.differences);
        text.push('\n');
    }
    let windows = match solution.windows_from {
        WindowsFrom::File => "windows from the session file",
        WindowsFrom::Movements => "windows found from the movements",
    };
    advice(&mut text, &solution.wheels);
    let _ = writeln!(text, "Data used ({windows})");
    for board in &solution.boards {
        self::board(&mut text, board);
    }
    if !solution.notes.is_empty() {
        text.push_str("\nLeft out, and what else to know\n");
        for note in &solution.notes {
            told(&mut text, note);
        }
    }
    text
}

fn wheel(text: &mut String, wheel: &WheelSolution) {
    let side = match wheel.side {
        CornerEntry::Left => "Left",
        CornerEntry::Right => "Right",
    };
    let _ = writeln!(text, "{side} front wheel, relative to the floor");
    if !wheel.findings.is_empty() {
        let _ = writeln!(
            text,
            "  {:<15} {:>8}  {:<14} {:>8}  {:>18}  largest contributor",
            "", "value", "", "standard", "95 % interval"
        );
    }
    for finding in &wheel.findings {
        self::finding(text, finding);
    }
    if let Some(sigmas) = wheel.misfit_sigmas {
        let _ = writeln!(text, "  largest misfit {sigmas:.1} standard deviations");
    }
    if !wheel.left_out_rests.is_empty() {
        let rests: Vec<String> = wheel
            .left_out_rests
            .iter()
            .map(|rest| (rest + 1).to_string())
            .collect();
        let _ = writeln!(
            text,
            "  rest {} did not fit the others and was left out",
            rests.join(", ")
        );
    }
    if let Some(refusal) = &wheel.refusal {
        text.push_str(if wheel.findings.is_empty() {
            "  refused\n"
        } else {
            "  the steering axis is refused; camber stands\n"
        });
        told(text, refusal);
    }
}

fn finding(text: &mut String, finding: &FindingSolution) {
    let largest = finding.budget.first().map_or_else(
        || "nothing that is known".to_owned(),
        |part| format!("{} ({:.0} %)", part.words, 100.0 * part.share),
    );
    let [low, high] = finding.interval_95_deg;
    let interval = format!("{low:+.3} to {high:+.3}°");
    let _ = writeln!(
        text,
        "  {:<15} {:>+8.3}° {:<14} {:>7.3}°  {interval:>18}  {largest}",
        angle_words(finding.angle),
        finding.value_deg,
        finding.sense,
        finding.standard_deg,
    );
}

/// What would make the intervals narrower, each deed once, the most wanted first.
fn advice(text: &mut String, wheels: &[WheelSolution]) {
    let mut deeds: Vec<(&str, usize)> = Vec::new();
    for finding in wheels.iter().flat_map(|wheel| &wheel.findings) {
        match deeds.iter_mut().find(|(deed, _)| *deed == finding.advice) {
            Some((_, count)) => *count += 1,
            None => deeds.push((&finding.advice, 1)),
        }
    }
    deeds.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    if deeds.is_empty() {
        return;
    }
    let _ = writeln!(text, "What would make the intervals narrower");
    for (deed, _) in deeds {
        let _ = writeln!(text, "  {deed}");
    }
    let _ = writeln!(text);
}

fn differences(text: &mut String, differences: &[DifferenceSolution]) {
    let _ = writeln!(
        text,
        "Left less right\n  {:<15} {:>8}  {:>8}  {:>9}  correlation used",
        "", "value", "standard", "95 %"
    );
    for difference in differences {
        let _ = writeln!(
            text,
            "  {:<15} {:>+8.3}° {:>7.3}°  ±{:>7.3}°  {:+.2}",
            angle_words(difference.angle),
            difference.value_deg,
            difference.standard_deg,
            difference.expanded_deg,
            difference.correlation
        );
    }
}

fn board(text: &mut String, board: &BoardUse) {
    let _ = write!(
        text,
        "  {:<5} {}: {} readings, {:.1} s at {:.0} Hz, {}",
        role_words(board.role),
        board.file,
        board.readings,
        board.seconds,
        board.rate_hz,
        if board.has_gyro { "gyro" } else { "no gyro" }
    );
    match &board.used {
        None => text.push_str("; nothing of it was used\n"),
        Some(used) if board.role == RoleEntry::Body => {
            let _ = writeln!(
                text,
                "; {} rests, clock {:+.3} s",
                used.rests,
                used.clock_offset_us as f64 * 1e-6
            );
        }
        Some(used) => {
            let _ = writeln!(
                text,
                "; {} rests ({:.1} s), {} turns by gyro, {} positions on the bearing, clock {:+.3} s",
                used.rests,
                used.rest_seconds,
                used.turns,
                used.run_out,
                used.clock_offset_us as f64 * 1e-6
            );
        }
    }
}

fn told(text: &mut String, told: &Told) {
    let _ = writeln!(
        text,
        "  - {}\n    {}\n    {}",
        told.what, told.meaning, told.remedy
    );
}

const fn angle_words(angle: AngleName) -> &'static str {
    match angle {
        AngleName::Camber => "camber",
        AngleName::Caster => "caster",
        AngleName::Sai => "SAI",
        AngleName::IncludedAngle => "included angle",
    }
}
