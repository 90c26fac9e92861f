//! The tables of `docs/VALIDATION.md`.

use std::fmt::Write as _;

use super::{Chip, Conditions, Summary, Way};

/// Runs all series and writes them down.
pub fn report(trials: u64) -> String {
    let mut text = String::new();
    for chip in Chip::ALL {
        for conditions in Conditions::ALL {
            for way in [Way::Stops, Way::Reversed, Way::AnglesOnly] {
                let s = Summary::of(1, trials, chip, conditions, way);
                for (name, f) in ["camber", "caster", "SAI"].iter().zip(s.angles) {
                    let _ = writeln!(
                        text,
                        "| {} | {} | {way:?} | {name} | {:.4} | {:.4} | {:.4} | {:.4} | {:.4} | {:.3} | {:.2} |",
                        chip.name(),
                        conditions.name(),
                        f.rms,
                        f.median,
                        f.largest_95,
                        f.worst,
                        f.stated,
                        f.coverage,
                        f.width_ratio
                    );
                }
                if let Some((seed, why)) = s.refused.first() {
                    let _ = writeln!(text, "refused {}: seed {seed}: {why}", s.refused.len());
                }
            }
        }
    }
    for chip in [Chip::Ideal, Chip::Good, Chip::Cheap, Chip::Inclinometer] {
        for watched in [true, false] {
            let s = Summary::of_pairs(1, trials / 2, chip, watched);
            for (name, f) in ["camber", "caster", "SAI"].iter().zip(s.angles) {
                let _ = writeln!(
                    text,
                    "| {} | pair | {watched:?} | {name} | {:.4} | {:.4} | {:.4} | {:.4} | {:.4} | {:.3} | {:.2} |",
                    chip.name(),
                    f.rms,
                    f.median,
                    f.largest_95,
                    f.worst,
                    f.stated,
                    f.coverage,
                    f.width_ratio
                );
            }
            if let Some((seed, why)) = s.refused.first() {
                let _ = writeln!(text, "refused {}: seed {seed}: {why}", s.refused.len());
            }
        }
    }
    text
}
