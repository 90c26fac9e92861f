//! How far, and which way, while somebody turns.

use hubplumb_core::adjust::{TargetState, TargetWatch, Turn};
use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;

/// To 1° within 0.1°.
fn states(live_deg: &[f64]) -> Vec<TargetState> {
    let mut watch = TargetWatch::new(Angle::from_deg(1.0), Angle::from_deg(0.1));
    let mut states = Vec::new();
    for live in live_deg {
        let (after, seen) = watch.seen(&Estimate::from_deg(*live, 0.01), Angle::ZERO);
        watch = after;
        states.push(seen.state);
    }
    states
}

#[test]
fn it_goes_from_far_to_past_and_back() {
    use TargetState::{At, Far, Near, Past};
    let check = |live: &[f64], expected: &[TargetState]| assert_eq!(states(live), expected);
    check(
        &[0.0, 0.5, 0.7, 0.95, 1.05, 1.2, 1.05],
        &[Far, Far, Near, At, At, Past, At],
    );
    check(&[2.0, 1.3, 0.85], &[Far, Near, Past]);
    // At the border it holds what it said: in at 0.1, out at 0.125.
    check(&[0.8, 0.91, 0.88, 0.91, 0.87], &[Near, At, At, At, Near]);
    check(&[0.55, 0.61, 0.59, 0.49], &[Far, Near, Near, Far]);
    // Begun at the target, there is no side to be past from until it is left.
    check(&[1.0, 1.3, 0.8], &[At, Near, Past]);
}

#[test]
fn way_and_time_left() {
    let watch = TargetWatch::new(Angle::from_deg(1.0), Angle::from_deg(0.1));
    let check = |live_deg: f64, rate_deg: f64, turn: Turn, seconds: Option<f64>| {
        let live = Estimate::from_deg(live_deg, 0.01);
        let (_, seen) = watch.seen(&live, Angle::from_deg(rate_deg));
        assert_eq!(seen.turn, turn);
        assert!((seen.left.deg() - (1.0 - live_deg)).abs() < 1e-12);
        let near = |(a, b): (f64, f64)| (a - b).abs() < 1e-9;
        assert_eq!(seen.seconds.is_some(), seconds.is_some(), "{seen:?}");
        assert!(seen.seconds.zip(seconds).is_none_or(near), "{seen:?}");
    };
    check(0.5, 0.1, Turn::More, Some(5.0));
    check(0.5, -0.1, Turn::More, None);
    check(0.5, 0.001, Turn::More, None);
    check(1.5, -0.25, Turn::Less, Some(2.0));
    check(1.0, 0.1, Turn::Stop, None);
}

#[test]
fn at_the_target_is_certain_only_within_the_interval() {
    let watch = TargetWatch::new(Angle::from_deg(1.0), Angle::from_deg(0.1));
    let check = |live_deg: f64, standard_deg: f64, certain: bool| {
        let (_, seen) = watch.seen(&Estimate::from_deg(live_deg, standard_deg), Angle::ZERO);
        assert_eq!((seen.state, seen.certain), (TargetState::At, certain));
    };
    check(1.0, 0.05, true);
    check(1.0, 0.06, false);
    check(0.95, 0.02, true);
    check(0.95, 0.03, false);
}
