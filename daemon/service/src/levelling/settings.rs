//! What the operator measured otherwise.

use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;

/// One sigma of a steered wheel's toe after anything was adjusted at it and before toe was measured again.
///
/// With the rod's end as far above the lower joint as the steering arm is long, the wheel turns by as
/// much as camber is changed ([`hubplumb_core::adjust::toe_from_camber`], derived); a degree is a usual
/// correction (common practice, no source).
const MOVED_STANDARD: Angle = Angle::from_deg(1.0);

/// What is told of a steered wheel's toe.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ToeTold {
    /// As it was last measured; none where nobody has.
    pub measured: Option<Estimate>,
    /// Was anything adjusted at the wheel since?
    pub moved: bool,
}

impl ToeTold {
    /// It was measured just now.
    pub const fn measured(toe: Estimate) -> Self {
        Self {
            measured: Some(toe),
            moved: false,
        }
    }

    /// What is known of it then, with what is configured where nothing else is.
    pub fn known(self, configured: Estimate) -> Known {
        match (self.measured, self.moved) {
            (Some(toe), false) => Known::entered(toe),
            (None, false) => Known::configured(configured),
            (before, true) => {
                let before = before.unwrap_or(configured);
                let standard = before.standard.rad().max(MOVED_STANDARD.rad());
                Known::configured(Estimate::new(before.value, Angle::from_rad(standard)))
            }
        }
    }
}

/// A figure, and whether somebody measured it or it is only configured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// The figure with its uncertainty.
    pub estimate: Estimate,
    /// Was it entered since the daemon started?
    pub entered: bool,
}

impl Known {
    /// From the configuration, its default, or presumed after a move.
    pub const fn configured(estimate: Estimate) -> Self {
        Self {
            estimate,
            entered: false,
        }
    }

    /// Entered on the page.
    pub const fn entered(estimate: Estimate) -> Self {
        Self {
            estimate,
            entered: true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_move_leaves_the_value_and_takes_the_trust() {
        let measured = Some(Estimate::from_deg(0.15, 0.02));
        // What was measured, moved since, and then: value, standard, entered.
        let cases = [
            (None, false, (0.0, 0.25, false)),
            (None, true, (0.0, 1.0, false)),
            (measured, false, (0.15, 0.02, true)),
            (measured, true, (0.15, 1.0, false)),
            (Some(Estimate::from_deg(0.4, 1.5)), true, (0.4, 1.5, false)),
        ];
        for (measured, moved, (value_deg, standard_deg, entered)) in cases {
            let known = ToeTold { measured, moved }.known(Estimate::from_deg(0.0, 0.25));
            let said = (
                known.estimate.value.deg(),
                known.estimate.standard.deg(),
                known.entered,
            );
            assert!(
                (said.0 - value_deg).abs() < 1e-12
                    && (said.1 - standard_deg).abs() < 1e-12
                    && said.2 == entered,
                "{measured:?}, moved: {moved}: {said:?}"
            );
        }
    }
}
