//! Writes what `docs/TILT.md` shows.
use hubplumb_core::chip::ChipFigures;
use hubplumb_tests::tilt::{Coverage, contenders, cuts, garage, rms};
fn main() {
    for (name, what) in cuts::NAMES {
        let cut = cuts::load(name).unwrap();
        println!("{name} {what}");
        for (label, run) in contenders::ALL {
            println!(
                "  {label}: {:.3}",
                rms(cuts::errors_deg(&cut, &run(&cut))).unwrap()
            );
        }
        for k in [0.0f64, 3e-3, 5.2e-3] {
            let mut c = Coverage::default();
            for (r, t) in cut.iter().zip(contenders::ours(&cut, &ChipFigures::CHEAP)) {
                if let (true, Some(up), Some(t)) = (r.moving, r.up(), t) {
                    c.take(t.up.vec().to_array(), up, t.standard.rad().hypot(k));
                }
            }
            println!(
                "  static {:.3}: cov {:.3} err {:.3} stated {:.3}",
                k.to_degrees(),
                c.share(),
                c.error_deg(),
                c.stated_deg()
            );
        }
    }
    for (s, chip) in [
        ("garage-good", ChipFigures::GOOD),
        ("garage-cheap", ChipFigures::CHEAP),
    ] {
        let c = garage::coverage(s, &chip, 1..11);
        println!(
            "{s} cov {:.3} err {:.3} stated {:.3}",
            c.share(),
            c.error_deg(),
            c.stated_deg()
        );
    }
}
