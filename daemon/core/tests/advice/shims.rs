//! Packs, stock and their limits.

use hubplumb_core::adjust::{
    AdjustError, Adjuster, Advice, BoltPair, BracketSide, Knob, PackLimits, ShimStock, UpperArm,
    Way,
};
use proptest::prelude::*;

use crate::printed::change_deg;

/// One degree of camber by 4 mm at both bolts, one of caster by 4 mm from one to the other.
fn arm() -> UpperArm {
    UpperArm {
        height_mm: 229.183,
        spacing_mm: 160.0,
        arm_mm: 160.0,
        bracket: BracketSide::ShimMovesOut,
    }
}

const PACKS: PackLimits = PackLimits {
    present_mm: [3.0, 2.0],
    most_mm: Some(8.0),
};

#[test]
fn each_bolt_gets_its_own_words() {
    let advice = arm()
        .pair()
        .unwrap()
        .advise(&change_deg(0.0, 0.5), &PACKS, None)
        .unwrap();
    assert_eq!(
        (advice.front.way, advice.rear.way),
        (Way::AddShims, Way::RemoveShims)
    );
    assert!((advice.front.change_mm - 1.0).abs() < 1e-3, "{advice:?}");
    assert!((advice.rear.pack_mm - 1.0).abs() < 1e-3, "{advice:?}");
    assert!(advice.left_over.camber.abs().deg() < 1e-9);
}

#[test]
fn stock_leaves_something_over() {
    let stock = ShimStock::new(&[0.5, 2.0, 1.0]).unwrap();
    let pair = arm().pair().unwrap();
    // 0.3° of camber are 1.2 mm at each bolt; 1.0 mm is nearest, a sixth is left.
    let wanted = change_deg(0.3, 0.0);
    let advice = pair.advise(&wanted, &PACKS, Some(&stock)).unwrap();
    for bolt in [&advice.front, &advice.rear] {
        assert_eq!(bolt.pieces_mm, [1.0]);
        assert!((bolt.exact_mm - 1.2).abs() < 1e-3, "{bolt:?}");
    }
    assert!((advice.left_over.camber.deg() - 0.05).abs() < 1e-4);
    // Taking out: the pack is made anew of 3.0 − 1.2 and 2.0 − 1.2.
    let less = pair.advise(&change_deg(-0.3, 0.0), &PACKS, Some(&stock));
    let less = less.unwrap();
    assert_eq!(less.front.pieces_mm, [2.0]);
    assert_eq!(less.rear.pieces_mm, [1.0]);
    assert_eq!(less.rear.way, Way::RemoveShims);
}

#[test]
fn a_pack_is_the_nearest_of_the_fewest_shims() {
    let stock = ShimStock::new(&[0.5, 0.8, 1.0, 1.6, 3.0]).unwrap();
    let check = |wanted: f64, pieces: &[f64]| {
        let pack = stock.nearest(wanted);
        assert_eq!(pack.pieces_mm, pieces, "{wanted}");
        let total: f64 = pieces.iter().sum();
        assert!((pack.total_mm - total).abs() < 1e-12);
    };
    check(0.2, &[]);
    check(0.26, &[0.5]);
    check(1.6, &[1.6]);
    check(2.6, &[1.6, 1.0]);
    check(4.1, &[1.6, 1.0, 1.0, 0.5]);
    check(4.05, &[3.0, 1.0]);
    check(4.6, &[3.0, 1.6]);
    check(-1.0, &[]);
    assert!(matches!(
        ShimStock::new(&[]),
        Err(AdjustError::Stock { found: 0, .. })
    ));
    assert!(ShimStock::new(&[1.0, 0.0]).is_err());
    assert!(ShimStock::new(&[1.0; 13]).is_err());
}

proptest! {
    #[test]
    fn no_pack_of_two_is_nearer(wanted in 0.0..6.0f64, a in 0.2..2.0f64, b in 0.2..2.0f64) {
        let pack = ShimStock::new(&[a, b]).unwrap().nearest(wanted);
        for i in 0..=8u8 {
            for j in 0..=8 - i {
                let other = f64::from(i) * a + f64::from(j) * b;
                // Equal within the search's 0.005 mm, once for every exchange of equals.
                prop_assert!((pack.total_mm - wanted).abs() <= (other - wanted).abs() + 0.05);
            }
        }
    }

    #[test]
    fn shims_do_what_was_wanted(
        camber in -2.0..2.0f64, caster in -2.0..2.0f64,
        height in 150.0..400.0f64, spacing in 80.0..300.0f64, arm_mm in 150.0..400.0f64,
    ) {
        for bracket in [BracketSide::ShimMovesOut, BracketSide::ShimMovesIn] {
            let arm = UpperArm { height_mm: height, spacing_mm: spacing, arm_mm, bracket };
            let pair = arm.pair().unwrap();
            let wanted = change_deg(camber, caster);
            let made = pair.changed(pair.shims_for(&wanted).unwrap());
            prop_assert!((made.camber - wanted.camber).abs().deg() < 1e-9);
            prop_assert!((made.caster - wanted.caster).abs().deg() < 1e-9);
        }
    }
}

#[test]
fn what_the_bolts_cannot_do_is_refused() {
    let pair = arm().pair().unwrap();
    let check = |camber: f64, caster: f64| pair.advise(&change_deg(camber, caster), &PACKS, None);
    assert!(matches!(
        check(-1.0, 0.0),
        Err(AdjustError::NegativePack { at_front: true, present_mm: 3.0, change_mm }) if (change_mm + 4.0).abs() < 1e-3
    ));
    assert!(matches!(
        check(1.5, 0.0),
        Err(AdjustError::PackTooThick { at_front: true, wanted_mm, most_mm: 8.0 }) if (wanted_mm - 9.0).abs() < 1e-3
    ));
    assert!(matches!(
        check(0.2, 1.5),
        Err(AdjustError::NegativePack {
            at_front: false,
            ..
        })
    ));
    // Two bolts that do the same cannot part camber from caster.
    let same = BoltPair::measured(1.0, &change_deg(0.2, 0.2), &change_deg(0.21, 0.2));
    assert!(matches!(same, Err(AdjustError::NotSeparable { apart_deg }) if apart_deg < 2.0));
    assert!(BoltPair::measured(1.0, &change_deg(0.0, 0.0), &change_deg(0.2, 0.1)).is_err());
}

#[test]
fn an_adjuster_has_a_column_for_every_bolt() {
    let adjuster = Adjuster::UpperArm(arm());
    let effects = adjuster.effects(None).unwrap();
    let knobs: Vec<Knob> = effects.iter().map(|e| e.knob).collect();
    assert_eq!(knobs, [Knob::FrontBolt, Knob::RearBolt]);
    let advice = adjuster.advise(&change_deg(0.5, 0.0), None, None);
    assert!(matches!(advice, Ok(Advice::Shims(_))), "{advice:?}");
    // Without shims that are in, none can come out.
    assert!(adjuster.advise(&change_deg(-0.5, 0.0), None, None).is_err());
}
