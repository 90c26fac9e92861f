//! Verdicts: a finding against its limits.

use crate::text::Text;
use hubplumb_core::decision::{Decision, Guard, Limit, Limits as CoreLimits, Verdict, decide};
use hubplumb_core::entered::Figure;

use crate::car::Limits;
use crate::http::visit_views::{VerdictView, VerdictWord};
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
        say: Text::from(say(&decision, judged.unit)),
        would_decide: Text::from(would_decide(&decision, judged)),
    })
}

fn say(decision: &Decision<f64>, unit: Unit) -> String {
    let sign = unit.sign();
    let limit = match decision.nearest {
        Some(Limit::Lower) => "lower",
        Some(Limit::Upper) => "upper",
        None => return "There is no limit to judge it by.".to_owned(),
    };
    let margin = decision.margin.unwrap_or_default();
    let decimals = decimals(unit);
    let off = format!("{:.decimals$}{sign}", margin.abs());
    let guard = format!("{:.decimals$}{sign}", decision.guard_width);
    match decision.verdict {
        Verdict::Inside => {
            format!("Inside: {off} clear of the {limit} limit, and the ± is {guard}.")
        }
        Verdict::Outside => {
            format!("Outside: {off} beyond the {limit} limit, and the ± is {guard}.")
        }
        Verdict::Undecided => {
            let side = if margin >= 0.0 { "within" } else { "beyond" };
            format!("Undecided: {off} {side} the {limit} limit, and the ± is {guard}.")
        }
    }
}

fn would_decide(decision: &Decision<f64>, judged: &Judged<'_>) -> String {
    let Some(needed) = &decision.needed else {
        return String::new();
    };
    let decimals = decimals(judged.unit) + 1;
    let sign = judged.unit.sign();
    let mut text = match needed.standard {
        Some(standard) => format!(
            "A standard uncertainty of {standard:.decimals$}{sign} would decide it (it is {:.decimals$}{sign}).",
            judged.standard
        ),
        None => "It lies on the limit: no measuring decides that, adjusting does.".to_owned(),
    };
    if needed.limits_too_close {
        text.push_str(" The limits are closer together than twice the ±: no value could be found inside like this.");
    }
    if needed.standard.is_some() && !judged.advice.is_empty() {
        text.push(' ');
        text.push_str(judged.advice);
    }
    text
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
