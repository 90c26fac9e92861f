//! The running program under load: boards on pseudo-terminals, clients on its streams, and what both
//! cost it.

mod boards;
mod clients;
mod daemon;
pub mod floor;
mod run;
pub mod script;
mod visit;

pub use boards::Boards;
pub use clients::{Client, Heard};
pub use daemon::{Daemon, Taken, program};
pub use run::{Load, Measured, machine_load, run};
pub use visit::{VisitCost, visit_costs};

/// A share of sorted figures: 0.5 is the median. None of none.
pub fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place between the first and the last"
    )]
    let place = (last as f64 * share.clamp(0.0, 1.0)).round() as usize;
    sorted.get(place).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_of_figures_are_found() {
        let figures: Vec<f64> = (0..=1000).map(f64::from).collect();
        let check = |share, expected| assert_eq!(quantile(&figures, share), Some(expected));
        check(0.0, 0.0);
        check(0.5, 500.0);
        check(0.999, 999.0);
        check(1.0, 1000.0);
        assert_eq!(quantile(&[], 0.5), None);
    }
}
