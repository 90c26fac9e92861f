//! Verdicts: a finding against its limits.

use hubplumb_core::decision::{Decision, Guard, Limit, Limits as CoreLimits, Verdict, decide};
use hubplumb_core::entered::Figure;

use crate::car::Limits;
use crate::http::visit_views::{VerdictView, VerdictWord};
use crate::text;
use crate::text::{Text, number};
use crate::visit::Unit;

/// What is judged, in the unit that the limits are told in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Judged<'a> {
    pub(super) value: f64,
    pub(super) standard: f64,
    pub(super) degrees_of_freedom: Option<f64>,
    pub(super) unit: Unit,
    /// What would make the uncertainty smaller.
    pub(super) advice: &'a str,
}

/// The verdict; none without a lower or an upper limit.
pub(super) fn verdict(judged: &Judged<'_>, limits: &Limits) -> Option<VerdictView> {
    if limits.low.is_none() && limits.high.is_none() {
        return None;
    }
    let limits = CoreLimits::new(limits.low, limits.high, None).ok()?;
    let figure = Figure {
        value: judged.value,
        standard: judged.standard,
        degrees_of_freedom: judged.degrees_of_freedom.unwrap_or(f64::INFINITY),
        budget: Vec::new(),
    };
    let decision = decide(&figure, &limits, Guard::Expanded);
    Some(VerdictView {
        verdict: match decision.verdict {
            Verdict::Inside => VerdictWord::Inside,
            Verdict::Outside => VerdictWord::Outside,
            Verdict::Undecided => VerdictWord::Undecided,
        },
        chance_inside: decision.conformance,
        say: say(&decision, judged.unit),
        would_decide: would_decide(&decision, judged),
    })
}

fn say(decision: &Decision<f64>, unit: Unit) -> Text {
    let Some(limit) = decision.nearest else {
        return text!("There is no limit to judge it by.");
    };
    let margin = decision.margin.unwrap_or_default();
    let figure = |value: f64| with_unit(value, decimals(unit), unit);
    let (off, guard) = (figure(margin.abs()), figure(decision.guard_width));
    let within = margin >= 0.0;
    match (decision.verdict, limit) {
        (Verdict::Inside, Limit::Lower) => {
            text!(
                "Inside: {off} clear of the lower limit, and the ± is {guard}.",
                off,
                guard
            )
        }
        (Verdict::Inside, Limit::Upper) => {
            text!(
                "Inside: {off} clear of the upper limit, and the ± is {guard}.",
                off,
                guard
            )
        }
        (Verdict::Outside, Limit::Lower) => {
            text!(
                "Outside: {off} beyond the lower limit, and the ± is {guard}.",
                off,
                guard
            )
        }
        (Verdict::Outside, Limit::Upper) => {
            text!(
                "Outside: {off} beyond the upper limit, and the ± is {guard}.",
                off,
                guard
            )
        }
        (Verdict::Undecided, Limit::Lower) if within => {
            text!(
                "Undecided: {off} within the lower limit, and the ± is {guard}.",
                off,
                guard
            )
        }
        (Verdict::Undecided, Limit::Upper) if within => {
            text!(
                "Undecided: {off} within the upper limit, and the ± is {guard}.",
                off,
                guard
            )
        }
        (Verdict::Undecided, Limit::Lower) => {
            text!(
                "Undecided: {off} beyond the lower limit, and the ± is {guard}.",
                off,
                guard
            )
        }
        (Verdict::Undecided, Limit::Upper) => {
            text!(
                "Undecided: {off} beyond the upper limit, and the ± is {guard}.",
                off,
                guard
            )
        }
    }
}

fn would_decide(decision: &Decision<f64>, judged: &Judged<'_>) -> Text {
    let Some(needed) = &decision.needed else {
        return Text::empty();
    };
    let figure = |value: f64| with_unit(value, decimals(judged.unit) + 1, judged.unit);
    let better = if let Some(standard) = needed.standard {
        text!(
            "A standard uncertainty of {standard} would decide it (it is {now}).",
            standard = figure(standard),
            now = figure(judged.standard)
        )
    } else {
        text!("It lies on the limit: no measuring decides that, adjusting does.")
    };
    let too_close = if needed.limits_too_close {
        text!(
            "The limits are closer together than twice the ±: no value could be found inside like this."
        )
    } else {
        Text::empty()
    };
    let advice = if needed.standard.is_some() {
        Text::recalled(judged.advice)
    } else {
        Text::empty()
    };
    Text::sentences([better, too_close, advice])
}

fn with_unit(value: f64, decimals: usize, unit: Unit) -> Text {
    Text::joined(
        [Text::from(number(value, decimals)), Text::from(unit.sign())],
        "",
    )
}

const fn decimals(unit: Unit) -> usize {
    match unit {
        Unit::Deg => 2,
        Unit::Mm | Unit::Percent => 1,
        Unit::DegPerMm => 4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judge(
        value: f64,
        standard: f64,
        low: Option<f64>,
        high: Option<f64>,
    ) -> Option<VerdictView> {
        let judged = Judged {
            value,
            standard,
            degrees_of_freedom: None,
            unit: Unit::Deg,
            advice: "Survey the floor.",
        };
        let target = None;
        verdict(&judged, &Limits { target, low, high })
    }

    #[test]
    fn published_limits_are_judged_with_the_uncertainty() {
        // 1999 data of GM for K-series trucks, as the geometry reference quotes them: camber
        // 0.25° ± 0.50°; U is 1.96 · 0.05° = 0.098°.
        let check = |value: f64, expected: VerdictWord| {
            let view = judge(value, 0.05, Some(-0.25), Some(0.75)).unwrap();
            assert_eq!(view.verdict, expected, "{value}: {}", view.say);
            assert_eq!(
                view.would_decide.is_empty(),
                expected != VerdictWord::Undecided
            );
        };
        check(0.25, VerdictWord::Inside);
        check(0.65, VerdictWord::Inside);
        check(0.66, VerdictWord::Undecided);
        check(0.84, VerdictWord::Undecided);
        check(0.86, VerdictWord::Outside);
        check(-0.40, VerdictWord::Outside);
    }

    #[test]
    fn an_undecided_verdict_tells_what_would_decide_it() {
        let view = judge(0.70, 0.05, Some(-0.25), Some(0.75)).unwrap();
        // 0.05° to the limit, over 1.96.
        assert!(
            view.would_decide.contains("0.026°"),
            "{}",
            view.would_decide
        );
        assert!(view.would_decide.ends_with("Survey the floor."));
        // One sided normal: Φ(1) = 0.8413 (any table of the normal distribution).
        assert!((view.chance_inside - 0.8413).abs() < 1e-3);
        let view = judge(0.75, 0.05, None, Some(0.75)).unwrap();
        assert!(
            view.would_decide.contains("adjusting does"),
            "{}",
            view.would_decide
        );
        let view = judge(0.0, 0.5, Some(-0.25), Some(0.75)).unwrap();
        assert!(
            view.would_decide.contains("closer together"),
            "{}",
            view.would_decide
        );
    }

    #[test]
    fn without_limits_there_is_no_verdict() {
        assert!(judge(0.0, 0.05, None, None).is_none());
    }
}
