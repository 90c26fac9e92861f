//! Candidates, ranked.

use super::cause::{Cause, NextCheck, Suspension};
use super::clue::{CausesError, Seen};
use super::signature::signature;
use super::weigh::Deviations;
use crate::angle::Angle;

/// Causes whose likelihoods differ by less than this are not told apart: half an
/// order of magnitude is "not worth more than a bare mention" (Jeffreys, from memory).
const TOLD_APART: f64 = 3.162;
/// A deviation is left over beyond this: 3 in 1000 by chance.
const LEFT_OVER_SIGMAS: f64 = 3.0;
/// A candidate with less than this share of the likelihood is not listed.
const LISTED_SHARE: f64 = 0.01;

/// Whether something that is ruled out first was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Checked {
    /// Not yet.
    NotYet,
    /// Looked at and found sound.
    Sound,
    /// Looked at and found wrong: nothing else counts until it is put right.
    Wrong,
}

/// What was looked at before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Looked {
    /// Play of joints and bearings.
    pub play: Checked,
    /// Ride height, load and tyre pressures.
    pub height: Checked,
}

impl Looked {
    /// At nothing.
    pub const NOT_YET: Self = Self {
        play: Checked::NotYet,
        height: Checked::NotYet,
    };

    /// Heights of left and right that differ by `difference_mm` ± `standard_mm` (one
    /// sigma), where `allowed_mm` is allowed: wrong if beyond that by more than the
    /// 95 % interval, sound if not.
    #[must_use]
    pub fn heights(mut self, difference_mm: f64, standard_mm: f64, allowed_mm: f64) -> Self {
        let reach = allowed_mm + crate::estimate::COVERAGE_95 * standard_mm;
        self.height = if difference_mm.abs() > reach {
            Checked::Wrong
        } else {
            Checked::Sound
        };
        self
    }
}

/// One of the things that come before any candidate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RuleOut {
    /// Worn joints, or ride height.
    pub cause: Cause,
    /// Whether it was looked at.
    pub checked: Checked,
}

impl RuleOut {
    /// How to look at it.
    pub const fn next_check(&self) -> NextCheck {
        self.cause.next_check()
    }
}

/// A figure and what a candidate makes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence {
    /// The figure.
    pub seen: Seen,
    /// What the candidate takes on itself of its deviation.
    pub explained: Angle,
}

impl Evidence {
    /// Whether the candidate leaves this figure unexplained.
    pub fn is_left_over(&self) -> bool {
        self.left_sigmas().abs() > LEFT_OVER_SIGMAS
    }

    /// The rest, in standard uncertainties.
    pub fn left_sigmas(&self) -> f64 {
        (self.seen.deviation.value - self.explained).rad() / self.seen.deviation.standard.rad()
    }
}

/// How much better a candidate explains the figures than errors of measurement do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Strength {
    /// Less than ten times.
    Weak,
    /// Ten to a hundred times.
    Fair,
    /// More than a hundred times.
    Strong,
}

impl Strength {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Weak, Self::Fair, Self::Strong];
}

/// A cause that fits, with its grade and evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    cause: Cause,
    share: f64,
    strength: Strength,
    evidence: Vec<Evidence>,
}

impl Candidate {
    /// The cause.
    pub const fn cause(&self) -> Cause {
        self.cause
    }

    /// Its share of the likelihood of all causes known here and of none, single faults
    /// taken as equally likely beforehand; 0 to 1. Not a probability of the part's
    /// being bent.
    pub const fn share(&self) -> f64 {
        self.share
    }

    /// Against errors of measurement alone.
    pub const fn strength(&self) -> Strength {
        self.strength
    }

    /// Every figure, and what the cause makes of it.
    pub fn evidence(&self) -> &[Evidence] {
        &self.evidence
    }

    /// What to look at before believing it.
    pub const fn next_check(&self) -> NextCheck {
        self.cause.next_check()
    }
}

/// How far the candidates are told apart.
#[derive(Debug, Clone, PartialEq)]
pub enum Distinction {
    /// No deviation is larger than its 95 % interval.
    NothingCounts,
    /// Something deviates and no cause known here explains it.
    NothingFits,
    /// These explain it about equally well.
    CannotTell(Vec<Cause>),
    /// The first candidate explains it better than the others.
    FirstLeads,
}

/// What goes with every list of candidates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Note {
    /// Damage by an accident is for licensed practice.
    LicensedPractice,
    /// No part is heated or bent straight.
    NeverHeatOrBend,
    /// Some figures compare the sides alone, so the side itself is not known.
    SideNotKnown,
    /// The first candidate leaves a deviation over: there may be more than one fault.
    MoreThanOneFault,
    /// Something found wrong is put right and all measured again before anything else.
    PutRightFirst,
}

impl Note {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::LicensedPractice,
        Self::NeverHeatOrBend,
        Self::SideNotKnown,
        Self::MoreThanOneFault,
        Self::PutRightFirst,
    ];
}

/// What the deviations can mean. Cannot be had as one bare cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Causes {
    rule_out: [RuleOut; 2],
    candidates: Vec<Candidate>,
    distinction: Distinction,
    notes: Vec<Note>,
}

impl Causes {
    /// From deviations and the correlations of their errors, by their places in `seen`.
    ///
    /// # Errors
    /// Figures without an uncertainty, given twice, or with impossible correlations.
    pub fn of(
        seen: &[Seen],
        correlation: impl Fn(usize, usize) -> f64,
        suspension: Suspension,
        looked: Looked,
    ) -> Result<Self, CausesError> {
        let deviations = Deviations::new(seen, correlation)?;
        let mut found = Self {
            rule_out: [
                RuleOut {
                    cause: Cause::WornJoint,
                    checked: looked.play,
                },
                RuleOut {
                    cause: Cause::RideHeight,
                    checked: looked.height,
                },
            ],
            candidates: Vec::new(),
            distinction: Distinction::NothingCounts,
            notes: vec![Note::LicensedPractice, Note::NeverHeatOrBend],
        };
        if found.rule_out.iter().any(|r| r.checked == Checked::Wrong) {
            found.notes.push(Note::PutRightFirst);
        }
        let sides_alone = |s: &&Seen| matches!(s.clue, super::clue::Clue::Across(_));
        if deviations.seen.iter().any(|s| sides_alone(&s)) {
            found.notes.push(Note::SideNotKnown);
        }
        if deviations.seen.iter().any(Seen::counts) {
            found.candidates = ranked(&deviations, suspension)?;
            found.distinction = distinction(&found.candidates);
            let left_over = |c: &Candidate| c.evidence.iter().any(Evidence::is_left_over);
            if found.candidates.first().is_some_and(left_over) {
                found.notes.push(Note::MoreThanOneFault);
            }
        }
        Ok(found)
    }

    /// What is ruled out before anything else.
    pub const fn rule_out(&self) -> &[RuleOut; 2] {
        &self.rule_out
    }

    /// Candidates, the best explanation first.
    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    /// How far they are told apart.
    pub const fn distinction(&self) -> &Distinction {
        &self.distinction
    }

    /// What goes with them.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }
}

fn ranked(deviations: &Deviations, suspension: Suspension) -> Result<Vec<Candidate>, CausesError> {
    let nothing = deviations.of_nothing()?;
    let mut weighed = Vec::new();
    for cause in Cause::of(suspension) {
        let Some(signature) = signature(cause).filter(|s| deviations.shows(*s)) else {
            continue;
        };
        weighed.push((cause, deviations.weigh(signature)?));
    }
    let likelihoods = weighed.iter().map(|(_, weight)| weight.log_likelihood);
    let best = likelihoods.clone().fold(nothing, f64::max);
    let total: f64 = likelihoods.map(|l| (l - best).exp()).sum::<f64>() + (nothing - best).exp();
    let mut candidates: Vec<Candidate> = weighed
        .into_iter()
        .filter(|(_, weight)| weight.log_likelihood > nothing)
        .map(|(cause, weight)| Candidate {
            cause,
            share: (weight.log_likelihood - best).exp() / total,
            strength: strength(weight.log_likelihood - nothing),
            evidence: deviations
                .seen
                .iter()
                .zip(&weight.explained)
                .map(|(seen, explained)| Evidence {
                    seen: *seen,
                    explained: Angle::from_rad(*explained),
                })
                .collect(),
        })
        .filter(|candidate| candidate.share >= LISTED_SHARE)
        .collect();
    // Stable, so equals keep the order in which they are listed.
    candidates.sort_by(|a, b| b.share.total_cmp(&a.share));
    Ok(candidates)
}

fn strength(log_ratio: f64) -> Strength {
    if log_ratio >= 100f64.ln() {
        Strength::Strong
    } else if log_ratio >= 10f64.ln() {
        Strength::Fair
    } else {
        Strength::Weak
    }
}

fn distinction(candidates: &[Candidate]) -> Distinction {
    let Some(first) = candidates.first() else {
        return Distinction::NothingFits;
    };
    let alike: Vec<Cause> = candidates
        .iter()
        .filter(|c| c.share * TOLD_APART > first.share)
        .map(|c| c.cause)
        .collect();
    if alike.len() > 1 {
        Distinction::CannotTell(alike)
    } else {
        Distinction::FirstLeads
    }
}
