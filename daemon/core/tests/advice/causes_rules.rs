//! What every answer holds, and when there is none.

use hubplumb_core::causes::{
    Candidate, Cause, Causes, CausesError, Checked, Clue, Compared, Distinction, Kind, Looked,
    NextCheck, Note, Pivot, RuleOut, Strength, Suspension, compare,
};
use hubplumb_core::estimate::Estimate;
use hubplumb_core::side::Side;
use nalgebra::{Matrix2, Vector2};

use crate::causes_table::{best, found, left_off, seen};

const CAMBER: Clue = Clue::Wheel(Kind::Camber, Side::Left);
const SAI: Clue = Clue::Wheel(Kind::Sai, Side::Left);

#[test]
fn worn_joints_and_height_come_before_anything() {
    for suspension in Suspension::ALL {
        for sai in [0.0, 1.0] {
            let causes = found(&left_off(sai, -1.0, 0.1), suspension);
            let first: Vec<Cause> = causes.rule_out().iter().map(|r| r.cause).collect();
            assert_eq!(first, [Cause::WornJoint, Cause::RideHeight]);
            let checks: Vec<NextCheck> =
                causes.rule_out().iter().map(RuleOut::next_check).collect();
            assert_eq!(checks, [NextCheck::FeelForPlay, NextCheck::MeasureHeights]);
            for note in [Note::LicensedPractice, Note::NeverHeatOrBend] {
                assert!(causes.notes().contains(&note));
            }
        }
    }
}

#[test]
fn play_found_is_put_right_first() {
    let looked = Looked {
        play: Checked::Wrong,
        height: Checked::NotYet,
    };
    let of = |looked| {
        let off = left_off(0.0, -1.0, 0.1);
        Causes::of(&off, |_, _| 0.0, Suspension::Strut, looked).unwrap()
    };
    assert!(of(looked).notes().contains(&Note::PutRightFirst));
    assert!(!of(Looked::NOT_YET).notes().contains(&Note::PutRightFirst));
    let height = |difference: f64| Looked::NOT_YET.heights(difference, 2.0, 10.0).height;
    assert_eq!(height(13.0), Checked::Sound);
    assert_eq!(height(-15.0), Checked::Wrong);
}

#[test]
fn within_the_interval_nothing_is_named() {
    let causes = found(&left_off(0.1, -0.19, 0.1), Suspension::Strut);
    assert_eq!(causes.distinction(), &Distinction::NothingCounts);
    assert!(causes.candidates().is_empty());
}

#[test]
fn one_figure_cannot_tell_knuckle_from_pivot() {
    let causes = found(&[seen(CAMBER, -1.0, 0.1)], Suspension::Strut);
    let alike = best(&causes);
    assert!(alike.contains(&Cause::Knuckle(Side::Left)), "{alike:?}");
    assert!(
        alike.contains(&Cause::PivotMoved(Pivot::TowerIn, Side::Left)),
        "{alike:?}"
    );
    assert!(alike.len() > 1);
}

#[test]
fn sides_alone_do_not_tell_the_side() {
    let across = |kind, left: f64, right: f64| {
        compare(&Compared {
            kind,
            found: [
                Some(Estimate::from_deg(left, 0.1)),
                Some(Estimate::from_deg(right, 0.1)),
            ],
            targets: [None, None],
            correlation: 0.5,
        })
        .unwrap()
    };
    let mut all = across(Kind::Camber, -1.5, 0.0);
    assert!((all[0].deviation.standard.deg() - 0.1).abs() < 1e-12);
    all.extend(across(Kind::Sai, 13.0, 13.0));
    let causes = found(&all, Suspension::Strut);
    assert!(causes.notes().contains(&Note::SideNotKnown));
    let alike = best(&causes);
    for side in Side::BOTH {
        assert!(alike.contains(&Cause::Knuckle(side)), "{alike:?}");
    }
}

#[test]
fn grades_grow_with_the_deviation() {
    let grade = |deg: f64| {
        let causes = found(&left_off(0.0, deg, 0.1), Suspension::Wishbones);
        let first = &causes.candidates()[0];
        assert_eq!(first.cause(), Cause::Knuckle(Side::Left));
        (first.share(), first.strength())
    };
    let grades: Vec<_> = [0.3, 0.4, 0.6].map(grade).into();
    assert!(grades.windows(2).all(|g| g[0].0 < g[1].0), "{grades:?}");
    let strengths: Vec<Strength> = grades.iter().map(|g| g.1).collect();
    assert_eq!(
        strengths,
        [Strength::Weak, Strength::Strong, Strength::Strong]
    );
}

#[test]
fn the_share_is_the_marginal_likelihood() {
    // Two figures of a solid axle's left wheel: nothing, knuckle, beam, or both at a
    // tenth. Normal densities with the fault's variance added, over four scales, worked
    // out here with 2 × 2 matrices in degrees.
    let (sai, camber, u) = (0.05, 0.4, 0.1);
    let density = |covariance: Matrix2<f64>| {
        let d = Vector2::new(sai, camber);
        let distance = d.dot(&(covariance.try_inverse().unwrap() * d));
        (-0.5 * distance).exp() / covariance.determinant().sqrt()
    };
    let noise = Matrix2::identity() * (u * u);
    let knuckle = Matrix2::new(0.0, 0.0, 0.0, 1.0);
    let beam = Matrix2::new(1.0, -1.0, -1.0, 1.0);
    let over_scales = |fault: Matrix2<f64>| {
        let scales = [0.5, 1.0, 2.0, 4.0_f64];
        let densities = scales.map(|s| density(noise + fault * (s * s)));
        densities.iter().sum::<f64>() / 4.0
    };
    let expected = [
        (Cause::Knuckle(Side::Left), over_scales(knuckle)),
        (
            Cause::PivotMoved(Pivot::AxleBeam, Side::Left),
            over_scales(beam),
        ),
        (
            Cause::PivotAndKnuckle(Pivot::AxleBeam, Side::Left),
            0.1 * over_scales(knuckle + beam),
        ),
    ];
    let total = density(noise) + expected.iter().map(|(_, d)| d).sum::<f64>();
    let causes = found(
        &[seen(SAI, sai, u), seen(CAMBER, camber, u)],
        Suspension::SolidAxle,
    );
    for (cause, density) in expected {
        let mut all = causes.candidates().iter();
        let share = all.find(|c| c.cause() == cause).map(Candidate::share);
        if density / total >= 0.01 {
            let share = share.unwrap();
            assert!((share - density / total).abs() < 1e-9, "{cause:?} {share}");
        } else {
            assert_eq!(share, None, "{cause:?}");
        }
    }
}

#[test]
fn evidence_says_what_is_explained_and_what_is_left() {
    let causes = found(&left_off(0.0, -1.0, 0.1), Suspension::Strut);
    let first = &causes.candidates()[0];
    let camber = first
        .evidence()
        .iter()
        .find(|e| e.seen.clue == CAMBER)
        .unwrap();
    // Scales of half a degree and more hold back four parts in a hundred at the most.
    let explained = camber.explained.deg();
    assert!((-1.0..=-0.96).contains(&explained), "{camber:?}");
    assert!(camber.left_sigmas().abs() < 0.4);
    assert!(!causes.notes().contains(&Note::MoreThanOneFault));
    let mut two = left_off(0.0, -1.0, 0.1).to_vec();
    two.push(seen(Clue::Thrust, 0.8, 0.05));
    assert!(
        found(&two, Suspension::Strut)
            .notes()
            .contains(&Note::MoreThanOneFault)
    );
}

#[test]
fn what_no_cause_explains_is_said_so() {
    // Setback alone, to the front: no pivot pushed rearward explains it with sound caster.
    let all = [
        seen(Clue::Thrust, 0.0, 0.05),
        seen(Clue::Wheel(Kind::Caster, Side::Left), 1.5, 0.1),
    ];
    let causes = found(&all, Suspension::SolidAxle);
    assert_eq!(
        causes.distinction(),
        &Distinction::NothingFits,
        "{causes:?}"
    );
}

#[test]
fn what_follows_is_not_counted_twice() {
    let two = left_off(0.0, -1.0, 0.1);
    let mut three = two.to_vec();
    three.push(seen(
        Clue::Wheel(Kind::IncludedAngle, Side::Left),
        -1.0,
        0.14,
    ));
    assert_eq!(
        found(&two, Suspension::Strut),
        found(&three, Suspension::Strut)
    );
}

#[test]
fn figures_that_cannot_be_are_refused() {
    let of = |all: &[hubplumb_core::causes::Seen], shared: f64| {
        Causes::of(all, |_, _| shared, Suspension::Strut, Looked::NOT_YET).unwrap_err()
    };
    assert_eq!(of(&[], 0.0), CausesError::NoFigure);
    let camber = seen(CAMBER, -1.0, 0.1);
    assert_eq!(
        of(&[camber, camber], 0.0),
        CausesError::Twice { clue: CAMBER }
    );
    assert_eq!(
        of(&[camber, seen(SAI, 0.0, 0.1)], 1.1),
        CausesError::Correlations
    );
    assert!(matches!(
        of(&[seen(CAMBER, -1.0, 0.0)], 0.0),
        CausesError::NoUncertainty { clue: CAMBER, .. }
    ));
}

#[test]
fn the_causes_of_a_suspension_are_each_checked_somehow() {
    let all = Cause::all();
    for (index, cause) in all.iter().enumerate() {
        assert!(!all[..index].contains(cause), "{cause:?} twice");
        assert!(NextCheck::ALL.contains(&cause.next_check()));
    }
    for suspension in Suspension::ALL {
        assert!(Cause::of(suspension).iter().all(|c| all.contains(c)));
    }
    assert!(!Cause::of(Suspension::SolidAxle).contains(&Cause::CradleShifted));
}
