//! Many trials, and what they say together.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use hubplumb_core::carried::CarriedCause;

use super::{Class, Course, Errors, Found, trial};

/// What a series came to, degrees.
#[derive(Debug, Clone, Default)]
pub struct Series {
    /// Trials.
    pub trials: usize,
    /// Trials that gave no figure.
    pub refused: usize,
    /// Passes left out in all of them.
    pub left_out: usize,
    /// Errors and half widths of the stated 95 % intervals.
    pub found: Vec<(f64, f64)>,
    /// Mean square of each cause's standard uncertainty.
    pub causes: Vec<(CarriedCause, f64)>,
    /// Trials in which the interval was widened.
    pub widened: usize,
    /// Reasons of what was left out or refused, and how often.
    pub reasons: BTreeMap<String, usize>,
}

impl Series {
    fn mean(&self, of: impl Fn(&(f64, f64)) -> f64) -> f64 {
        self.found.iter().map(of).sum::<f64>() / self.found.len() as f64
    }

    /// Root mean square error.
    pub fn rms_deg(&self) -> f64 {
        self.mean(|(error, _)| error * error).sqrt()
    }

    /// Mean error.
    pub fn bias_deg(&self) -> f64 {
        self.mean(|(error, _)| *error)
    }

    /// Mean half width.
    pub fn half_width_deg(&self) -> f64 {
        self.mean(|(_, half)| *half)
    }

    /// The half width that 95 % of the trials stay below.
    pub fn half_width_95_deg(&self) -> f64 {
        let mut halves: Vec<f64> = self.found.iter().map(|(_, half)| *half).collect();
        halves.sort_by(f64::total_cmp);
        let last = halves.len().saturating_sub(1);
        halves[last * 95 / 100]
    }

    /// Share of the intervals that hold the truth.
    pub fn coverage(&self) -> f64 {
        self.mean(|(error, half)| f64::from(u8::from(error.abs() <= *half)))
    }

    /// Largest error.
    pub fn worst_deg(&self) -> f64 {
        self.found.iter().map(|(e, _)| e.abs()).fold(0.0, f64::max)
    }
}

/// Runs `trials` seeds on all processors.
///
/// # Panics
/// When a trial does.
pub fn series(first_seed: u64, trials: u64, class: Class, course: &Course) -> Series {
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let found: Vec<Found> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..workers as u64)
            .map(|worker| {
                scope.spawn(move || {
                    (first_seed + worker..first_seed + trials)
                        .step_by(workers)
                        .map(|seed| trial(seed, class, course))
                        .collect::<Vec<_>>()
                })
            })
            .collect();
        handles
            .into_iter()
            .flat_map(|handle| handle.join().expect("a trial ends"))
            .collect()
    });
    let mut series = Series {
        trials: found.len(),
        ..Series::default()
    };
    let mut squares: Vec<(CarriedCause, f64)> =
        CarriedCause::ALL.into_iter().map(|c| (c, 0.0)).collect();
    for trial in &found {
        series.left_out += trial.left_out.len();
        for why in &trial.left_out {
            *series.reasons.entry(kind(why)).or_default() += 1;
        }
        let solved = match &trial.outcome {
            Ok(solved) => solved,
            Err(why) => {
                series.refused += 1;
                *series.reasons.entry(kind(why)).or_default() += 1;
                continue;
            }
        };
        let Some(total) = solved.total(true) else {
            series.refused += 1;
            continue;
        };
        series.widened += usize::from(solved.widened > 1.0);
        series.found.push((
            total.estimate.value.deg() - trial.true_deg,
            total.estimate.expanded().deg(),
        ));
        for (cause, standard) in &total.budget {
            if let Some((_, square)) = squares.iter_mut().find(|(c, _)| c == cause) {
                *square += standard.deg().powi(2);
            }
        }
    }
    let count = series.found.len().max(1) as f64;
    series.causes = squares
        .into_iter()
        .map(|(cause, square)| (cause, (square / count).sqrt()))
        .collect();
    series
}

/// The name of a reason without its figures.
fn kind(why: &impl std::fmt::Debug) -> String {
    let text = format!("{why:?}");
    text.split([' ', '(', '{']).next().unwrap_or("?").to_owned()
}

/// The tables of docs/CARRIED.md.
pub fn report(trials: u64) -> String {
    let mut text = String::new();
    let usual = Course::default();
    let courses = [
        ("4 passes of 6 s", usual),
        ("8 passes of 6 s", Course { passes: 8, ..usual }),
        (
            "4 passes of 12 s",
            Course {
                over_s: 12.0,
                ..usual
            },
        ),
        (
            "leaning 20° on the way",
            Course {
                lean_deg: 20.0,
                ..usual
            },
        ),
        (
            "leaning 60° on the way",
            Course {
                lean_deg: 60.0,
                ..usual
            },
        ),
        (
            "a blow of 4 g on the way",
            Course {
                bump_g: 4.0,
                ..usual
            },
        ),
        (
            "22 s from wheel to wheel",
            Course {
                over_s: 22.0,
                ..usual
            },
        ),
        (
            "30 readings a second",
            Course {
                rate_hz: 30.0,
                ..usual
            },
        ),
    ];
    let _ = writeln!(
        text,
        "| chip | how | trials | no figure | passes left out | rms error | worst | mean U | U of 95 % | within U |\n| --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"
    );
    let mut causes = String::new();
    for class in [Class::Good, Class::Cheap] {
        for (number, (name, course)) in courses.iter().enumerate() {
            let trials = if number == 0 { trials } else { trials / 3 };
            let s = series(1, trials, class, course);
            let name_of = format!("{class:?}").to_lowercase();
            let reasons: Vec<String> = s.reasons.iter().map(|(k, n)| format!("{k} {n}")).collect();
            let figures = if s.found.is_empty() {
                "– | – | – | – | –".to_owned()
            } else {
                format!(
                    "{:.4}° | {:.3}° | {:.4}° | {:.4}° | {:.1} %",
                    s.rms_deg(),
                    s.worst_deg(),
                    s.half_width_deg(),
                    s.half_width_95_deg(),
                    100.0 * s.coverage()
                )
            };
            let _ = writeln!(
                text,
                "| {name_of} | {name} | {} | {} | {} | {figures} |",
                s.trials, s.refused, s.left_out
            );
            if !reasons.is_empty() {
                eprintln!(
                    "{name_of}, {name}: {}; mean error {:.4}",
                    reasons.join(", "),
                    s.bias_deg()
                );
            }
            if number == 0 {
                let parts: Vec<String> = s
                    .causes
                    .iter()
                    .map(|(cause, standard)| format!("{cause:?} {standard:.4}°"))
                    .collect();
                let _ = writeln!(
                    causes,
                    "- {name_of}: {}; widened {}",
                    parts.join(", "),
                    s.widened
                );
            }
        }
    }
    text + "\n" + &causes
}

/// One error of the simulator at a time, against the line of the budget that stands for it.
pub fn parts(trials: u64) -> String {
    let mut text = String::from(
        "| chip | what is wrong | rms error | mean error | line of the budget |\n| --- | --- | ---: | ---: | ---: |\n",
    );
    for class in [Class::Good, Class::Cheap] {
        let name_of = format!("{class:?}").to_lowercase();
        let causes = CarriedCause::ALL.into_iter().map(Errors::Only);
        for errors in std::iter::once(Errors::Motion).chain(causes) {
            let course = Course {
                errors,
                ..Course::default()
            };
            let s = series(1001, trials, class, &course);
            let (what, line) = match errors {
                Errors::Only(cause) => {
                    let line = s.causes.iter().find(|(c, _)| *c == cause);
                    let line = line.map_or(0.0, |(_, standard)| *standard);
                    (format!("{cause:?}"), format!("{line:.4}°"))
                }
                _ => ("the motion alone".to_owned(), "–".to_owned()),
            };
            let _ = writeln!(
                text,
                "| {name_of} | {what} | {:.4}° | {:+.4}° | {line} |",
                s.rms_deg(),
                s.bias_deg()
            );
        }
    }
    text
}
