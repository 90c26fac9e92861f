//! Learning from moves, against the Guide's propagation and closed forms.

use hubplumb_core::adjust::{
    AdjustError, BoltPair, ContradictionKind, LearnError, Learner, Move, PerUnit, WheelAngle,
};
use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::gum::Correlated;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};

use crate::printed::change_deg;

const TOE: [WheelAngle; 1] = [WheelAngle::Toe];
const BOTH: [WheelAngle; 2] = [WheelAngle::Camber, WheelAngle::Caster];
/// Wider than any adjuster's effect.
const BROAD: Angle = Angle::from_deg(20.0);

fn one_move(amount: f64, amount_standard: f64, before: Estimate, after: Estimate) -> Move {
    Move {
        amounts: vec![amount],
        amounts_standard: vec![amount_standard],
        before: vec![before],
        after: vec![after],
        correlation: 0.0,
    }
}

fn rod(relative: f64) -> Learner {
    let per_turn = PerUnit::mainly(WheelAngle::Toe, Angle::from_deg(0.7));
    Learner::from_geometry(&TOE, &[per_turn], relative, BROAD)
}

#[test]
fn without_geometry_the_first_move_tells_the_effect() {
    // e = (after − before)/amount, propagated by the Guide (JCGM 100:2008, 5.1.2).
    let (before, after) = (Estimate::from_deg(0.1, 0.03), Estimate::from_deg(0.8, 0.04));
    let mut learner = Learner::broad(&TOE, 1, BROAD);
    learner.learn(&one_move(1.5, 0.05, before, after)).unwrap();
    let inputs = Correlated::independent([0.1, 0.8, 1.5], [0.03, 0.04, 0.05]).unwrap();
    let guide = inputs
        .propagated(|[before, after, amount]| [(after - before) / amount])
        .unwrap();
    let found = learner.effect(0, 0);
    // The broad prior is worth one part in ten thousand; slopes over one sigma another.
    assert!(
        (found.value.deg() / guide.values()[0] - 1.0).abs() < 1e-3,
        "{found:?}"
    );
    assert!(
        (found.standard.deg() / guide.standard(0) - 1.0).abs() < 5e-3,
        "{found:?}"
    );
}

#[test]
fn a_prior_and_a_move_are_a_weighted_mean() {
    let mut learner = rod(0.1);
    let (before, after) = (Estimate::from_deg(0.0, 0.03), Estimate::from_deg(1.6, 0.04));
    learner.learn(&one_move(2.0, 0.0, before, after)).unwrap();
    let (prior, seen) = (0.07_f64.powi(-2), (0.05_f64 / 2.0).powi(-2));
    let mean = (prior * 0.7 + seen * 0.8) / (prior + seen);
    let found = learner.effect(0, 0);
    assert!((found.value.deg() - mean).abs() < 1e-9, "{found:?}");
    let standard = (prior + seen).powf(-0.5);
    assert!((found.standard.deg() - standard).abs() < 1e-9, "{found:?}");
}

#[test]
fn a_board_left_on_tells_more() {
    let mut moved = one_move(
        1.0,
        0.0,
        Estimate::from_deg(0.0, 0.05),
        Estimate::from_deg(0.7, 0.05),
    );
    let (mut apart, mut left_on) = (rod(0.2), rod(0.2));
    apart.learn(&moved).unwrap();
    moved.correlation = 0.95;
    left_on.learn(&moved).unwrap();
    assert!(left_on.effect(0, 0).standard < apart.effect(0, 0).standard * 0.5);
}

#[test]
fn what_cannot_be_is_a_contradiction_and_changes_nothing() {
    let check = |after_deg: f64, expected: Option<ContradictionKind>| {
        let mut learner = rod(0.1);
        let before = learner.clone();
        let (from, to) = (
            Estimate::from_deg(0.0, 0.02),
            Estimate::from_deg(after_deg, 0.02),
        );
        match (learner.learn(&one_move(1.0, 0.05, from, to)), expected) {
            (Ok(()), None) => assert_ne!(learner, before),
            (Err(LearnError::Contradiction(found)), Some(kind)) => {
                assert_eq!(found.kind, kind, "{found:?}");
                assert!(found.sigmas.abs() > 3.0, "{found:?}");
                assert_eq!(learner, before);
            }
            (found, _) => panic!("{after_deg}: {found:?}, {expected:?}"),
        }
    };
    check(0.7, None);
    check(0.85, None);
    check(-0.7, Some(ContradictionKind::WrongWay));
    check(0.01, Some(ContradictionKind::NothingMoved));
    check(0.3, Some(ContradictionKind::TooLittle));
    check(1.2, Some(ContradictionKind::TooMuch));
}

#[test]
fn an_angle_that_should_stay_and_moves() {
    let column = PerUnit::mainly(WheelAngle::Camber, Angle::from_deg(0.5))
        .with(WheelAngle::Caster, hubplumb_core::adjust::Effect::NONE);
    let mut learner = Learner::from_geometry(&BOTH, &[column], 0.05, BROAD);
    let moved = Move {
        amounts: vec![1.0],
        amounts_standard: vec![0.0],
        before: vec![Estimate::from_deg(0.0, 0.02); 2],
        after: vec![Estimate::from_deg(0.5, 0.02), Estimate::from_deg(0.6, 0.02)],
        correlation: 0.0,
    };
    assert!(matches!(
        learner.learn(&moved),
        Err(LearnError::Contradiction(c))
            if c.kind == ContradictionKind::ShouldHaveStayed && c.angle == WheelAngle::Caster
    ));
}

#[test]
fn the_next_move_comes_with_its_interval() {
    let learner = rod(0.1);
    let amounts = learner.next(&[Angle::from_deg(0.35)]).unwrap();
    assert!((amounts[0] - 0.5).abs() < 1e-12, "{amounts:?}");
    let found = learner
        .predict(&amounts, &[0.1], Angle::from_deg(0.02))
        .unwrap()[0];
    assert!((found.change.value.deg() - 0.35).abs() < 1e-12);
    // 0.5 × 0.07 by the effect, 0.7 × 0.1 by the amount, 0.02 by the readings.
    let change = 0.035_f64.hypot(0.07);
    assert!((found.change.standard.deg() - change).abs() < 1e-12);
    assert!((found.read.standard.deg() - change.hypot(0.02)).abs() < 1e-12);
}

#[test]
fn an_effect_that_is_not_told_from_none_gives_no_move() {
    let broad = Learner::broad(&TOE, 1, BROAD);
    assert!(matches!(
        broad.next(&[Angle::from_deg(0.3)]),
        Err(AdjustError::EffectUnknown { .. })
    ));
    assert!(matches!(
        rod(0.8).next(&[Angle::from_deg(0.3)]),
        Err(AdjustError::EffectUnknown { .. })
    ));
    assert!(rod(0.1).next(&[Angle::from_deg(f64::NAN)]).is_err());
}

#[test]
fn the_wrong_number_of_figures_is_refused() {
    let mut learner = rod(0.1);
    let mut moved = one_move(
        1.0,
        0.0,
        Estimate::from_deg(0.0, 0.1),
        Estimate::from_deg(0.7, 0.1),
    );
    moved.amounts.push(1.0);
    assert_eq!(
        learner.learn(&moved),
        Err(LearnError::Shape {
            found: 2,
            needed: 1
        })
    );
    assert!(learner.predict(&[], &[], Angle::ZERO).is_err());
}

#[test]
fn two_bolts_are_learnt_from_three_moves() {
    // The truth is table 20-3 of TM 9-2320-280-34; the prior a matrix a third off.
    let truth = BoltPair::measured(3.048, &change_deg(0.5, 0.6), &change_deg(0.0, -0.6)).unwrap();
    let guess = BoltPair::measured(3.048, &change_deg(0.4, 0.8), &change_deg(0.1, -0.8)).unwrap();
    let columns = [guess.effect(true), guess.effect(false)];
    let mut rng = ChaCha8Rng::seed_from_u64(20);
    let error = Normal::new(0.0, 0.02).unwrap();
    let (mut squares, mut figures) = (0.0, 0.0);
    let mut by_chance = 0;
    let (mut made_squares, mut made_figures) = (0.0, 0.0);
    for _ in 0..200 {
        let mut learner = Learner::from_geometry(&BOTH, &columns, 0.3, BROAD);
        for amounts in [[3.0, 0.0], [0.0, 3.0], [2.0, -2.0]] {
            let change = truth.changed(amounts);
            let mut read = |deg: f64| Estimate::from_deg(deg + error.sample(&mut rng), 0.02);
            let moved = Move {
                amounts: amounts.into(),
                amounts_standard: vec![0.0; 2],
                before: vec![read(0.0), read(0.0)],
                after: vec![read(change.camber.deg()), read(change.caster.deg())],
                correlation: 0.0,
            };
            if let Err(LearnError::Contradiction(_)) = learner.learn(&moved) {
                by_chance += 1;
            }
        }
        for (angle, knob) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            let found = learner.effect(angle, knob);
            let expected = truth.per_mm()[(angle, knob)];
            squares += ((found.value.rad() - expected) / found.standard.rad()).powi(2);
            figures += 1.0;
        }
        // 0.12 and 0.06 in by the table; what they do by it is what was predicted.
        let wanted = change_deg(0.5, 0.3);
        let amounts = learner.next(&[wanted.camber, wanted.caster]).unwrap();
        let predicted = learner.predict(&amounts, &[0.0; 2], Angle::ZERO).unwrap();
        let made = truth.changed([amounts[0], amounts[1]]);
        for p in predicted {
            let error = made.of(p.angle) - p.change.value;
            made_squares += (error.rad() / p.change.standard.rad()).powi(2);
            made_figures += 1.0;
            assert!((p.change.value - wanted.of(p.angle)).abs().deg() < 1e-9);
            assert!(p.change.standard.deg() < 0.06, "{p:?}");
        }
    }
    // Of 1200 changes that agree, 3 are expected beyond 3 standard uncertainties.
    assert!(by_chance <= 12, "{by_chance}");
    // Errors are as large as they are said to be: their squares are one sigma², within
    // what the prior's fixed error and 200 trials leave.
    for mean in [squares / figures, made_squares / made_figures] {
        assert!((0.7..1.3_f64).contains(&mean), "{mean}");
    }
}
