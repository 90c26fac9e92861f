//! The sign of an angle in words, so that nobody has to remember a convention.

use crate::text;
use crate::text::Text;
use hubplumb_core::angle::Angle;
use hubplumb_core::swing::AngleKind;

/// Below this the page shows 0.00, and a direction would be noise.
const SHOWN_AS_ZERO_DEG: f64 = 0.005;

/// Sign words of a finding.
pub fn sense_words(kind: AngleKind, value: Angle) -> Text {
    match kind {
        AngleKind::Camber => by_sign(value, text!("top out"), text!("top in"), text!("upright")),
        AngleKind::Caster => by_sign(
            value,
            text!("lean back"),
            text!("lean forward"),
            text!("upright"),
        ),
        AngleKind::Sai => by_sign(
            value,
            text!("top inboard"),
            text!("top outboard"),
            text!("upright"),
        ),
        AngleKind::IncludedAngle => by_sign(
            value,
            text!("opens downward"),
            text!("opens upward"),
            text!("parallel"),
        ),
    }
}

/// Sign words of hub pitch.
pub fn hub_pitch_words(value: Angle) -> Text {
    by_sign(
        value,
        text!("front up"),
        text!("front down"),
        text!("level"),
    )
}

/// Sign words of the floor's slope across.
pub(super) fn floor_roll_words(value: Angle) -> Text {
    by_sign(
        value,
        text!("left side higher"),
        text!("right side higher"),
        text!("level"),
    )
}

/// Sign words of the floor's slope along.
pub(super) fn floor_pitch_words(value: Angle) -> Text {
    by_sign(
        value,
        text!("front lower"),
        text!("front higher"),
        text!("level"),
    )
}

fn by_sign(value: Angle, plus: Text, minus: Text, zero: Text) -> Text {
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
