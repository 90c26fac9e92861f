//! The figures of a run, as docs/reliability/faults.md has them.

use std::fmt::Write as _;

use crate::judge::Verdict;

/// Memory of this process that is in use, MB.
pub(crate) fn resident_mb() -> f64 {
    let told = std::fs::read_to_string("/proc/self/statm").unwrap_or_default();
    let pages: f64 = told
        .split_whitespace()
        .nth(1)
        .and_then(|pages| pages.parse().ok())
        .unwrap_or(0.0);
    pages * 4096.0 / 1e6
}

pub(crate) fn table(first_seed: u64, shifts: u64, verdict: &Verdict, memory_mb: &[f64]) -> String {
    let mut text = String::new();
    let injected: u64 = verdict.faults.values().sum();
    let hours = verdict.seconds / 3600.0;
    let _ = writeln!(
        text,
        "Seeds {first_seed} to {}: {hours:.2} simulated hours of two boards, {injected} faults.\n",
        first_seed + shifts.saturating_sub(1)
    );
    let _ = writeln!(text, "| fault | times |\n| --- | --- |");
    for (name, count) in &verdict.faults {
        let _ = writeln!(text, "| {name} | {count} |");
    }
    let _ = writeln!(text, "\n| what was looked at | figure |\n| --- | --- |");
    let mut row = |what: &str, figure: String| {
        let _ = writeln!(text, "| {what} | {figure} |");
    };
    row(
        "cambers of a resting wheel shown as live",
        verdict.cambers.to_string(),
    );
    row(
        "worst of them, error over standard uncertainty (limit 4)",
        format!("{:.2}", verdict.worst_camber),
    );
    row(
        "shown or found while nothing can tell (swapped boards; two boards without clock or number; a line that is late from a board's start on)",
        verdict.unknowable.to_string(),
    );
    row(
        "oldest value shown as live, s (limit 1, looked at every 0.1)",
        format!("{:.2}", verdict.oldest_s),
    );
    row("swings that ended", verdict.swings.to_string());
    row("findings stated", verdict.findings.to_string());
    row(
        "worst of them, error over standard uncertainty (limit 4)",
        format!("{:.2}", verdict.worst_finding),
    );
    row(
        "ends of faults after which a fresh value was waited for",
        verdict.recoveries_s.len().to_string(),
    );
    row(
        "time to a fresh value, s: median, 99 of 100, longest (limit 2)",
        format!(
            "{:.2}, {:.2}, {:.2}",
            verdict.recovery_s(0.5),
            verdict.recovery_s(0.99),
            verdict.recovery_s(1.0)
        ),
    );
    row(
        "boards that began anew while their numbers went on by chance: fresh only after that (limit 12 s)",
        verdict.unseen_starts.to_string(),
    );
    if let (Some(first), Some(last)) = (memory_mb.first(), memory_mb.last()) {
        let most = memory_mb.iter().copied().fold(0.0, f64::max);
        row(
            "memory of the whole process after the first shift, at most, at the end, MB",
            format!("{first:.1}, {most:.1}, {last:.1}"),
        );
    }
    row("broken promises", verdict.broken.len().to_string());
    let _ = writeln!(text, "\n| no value shown, because | looks |\n| --- | --- |");
    for (why, count) in &verdict.missing {
        let _ = writeln!(text, "| {why} | {count} |");
    }
    let _ = writeln!(
        text,
        "\n| swing or wheel refused, because | times |\n| --- | --- |"
    );
    for (why, count) in &verdict.refused {
        let _ = writeln!(text, "| {why} | {count} |");
    }
    text
}
