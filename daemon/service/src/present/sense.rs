//! The sign of an angle in words, so that nobody has to remember a convention.

use hubplumb_core::angle::Angle;
use hubplumb_core::swing::AngleKind;

/// Below this the page shows 0.00, and a direction would be noise.
const SHOWN_AS_ZERO_DEG: f64 = 0.005;

/// Sign words of a finding.
pub fn sense_words(kind: AngleKind, value: Angle) -> &'static str {
    match kind {
        AngleKind::Camber => by_sign(value, "top out", "top in", "upright"),
        AngleKind::Caster => by_sign(value, "lean back", "lean forward", "upright"),
        AngleKind::Sai => by_sign(value, "top inboard", "top outboard", "upright"),
        AngleKind::IncludedAngle => by_sign(value, "opens downward", "opens upward", "parallel"),
    }
}

/// Sign words of hub pitch.
pub fn hub_pitch_words(value: Angle) -> &'static str {
    by_sign(value, "front up", "front down", "level")
}

/// Sign words of the floor's slope across.
pub(super) fn floor_roll_words(value: Angle) -> &'static str {
    by_sign(value, "left side higher", "right side higher", "level")
}

/// Sign words of the floor's slope along.
pub(super) fn floor_pitch_words(value: Angle) -> &'static str {
    by_sign(value, "front lower", "front higher", "level")
}

fn by_sign(
    value: Angle,
    plus: &'static str,
    minus: &'static str,
    zero: &'static str,
) -> &'static str {
    if value.deg() >= SHOWN_AS_ZERO_DEG {
        plus
    } else if value.deg() <= -SHOWN_AS_ZERO_DEG {
        minus
    } else {
        zero
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_told_in_words() {
        let check = |kind, deg, words| {
            assert_eq!(
                sense_words(kind, Angle::from_deg(deg)),
                words,
                "{kind:?} {deg}"
            );
        };
        check(AngleKind::Camber, 0.5, "top out");
        check(AngleKind::Camber, -0.5, "top in");
        check(AngleKind::Camber, -0.004, "upright");
        check(AngleKind::Caster, 3.0, "lean back");
        check(AngleKind::Caster, -3.0, "lean forward");
        check(AngleKind::Sai, 12.0, "top inboard");
        check(AngleKind::Sai, -1.0, "top outboard");
        check(AngleKind::IncludedAngle, 12.0, "opens downward");
        assert_eq!(hub_pitch_words(Angle::from_deg(1.0)), "front up");
    }
}
