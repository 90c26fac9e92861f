//! Does carried toe agree with toe found otherwise?

use crate::angle::Angle;
use crate::estimate::Estimate;

/// Two independent figures of one angle, compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// First less second.
    pub difference: Angle,
    /// Standard uncertainty of the difference.
    pub standard: Angle,
    /// The difference over the half width of its 95 % interval (normalised error Eₙ).
    pub normalised: f64,
}

impl Agreement {
    /// Of two figures that share no error; none where neither has an uncertainty.
    pub fn between(first: &Estimate, second: &Estimate) -> Option<Self> {
        let difference = first.value - second.value;
        let standard = Angle::from_rad(first.standard.rad().hypot(second.standard.rad()));
        let half_width = Estimate::new(difference, standard).expanded();
        (half_width > Angle::ZERO).then(|| Self {
            difference,
            standard,
            normalised: difference.rad().abs() / half_width.rad(),
        })
    }

    /// At most one: the figures agree as well as they claim.
    pub fn holds(&self) -> bool {
        self.normalised <= 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_agree_within_both_their_intervals() {
        let check = |first: (f64, f64), second: (f64, f64), normalised: f64| {
            let of = |(value, standard)| Estimate::from_deg(value, standard);
            let found = Agreement::between(&of(first), &of(second)).unwrap();
            assert!((found.normalised - normalised).abs() < 1e-9, "{found:?}");
            assert_eq!(found.holds(), normalised <= 1.0);
        };
        check((0.30, 0.03), (0.20, 0.04), 0.1 / (1.96 * 0.05));
        check((0.20, 0.03), (0.20, 0.04), 0.0);
        check((0.10, 0.03), (0.20, 0.04), 0.1 / (1.96 * 0.05));
        let exact = Estimate::from_deg(0.2, 0.0);
        assert_eq!(Agreement::between(&exact, &exact), None);
    }
}
