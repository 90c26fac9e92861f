//! Random cars of the project's own simulator: how far the findings are off,
//! and whether they say so. `docs/VALIDATION.md` has the tables.

use hubplumb_tests::measured::{Chip, Conditions, Figures, Summary, Way};

const CARS: u64 = 300;
const ANGLES: [&str; 3] = ["camber", "caster", "SAI"];

/// Nothing refused, and every angle as `judge` wants it.
fn check(what: &str, series: &Summary, judge: impl Fn(usize, &Figures)) {
    assert!(series.refused.is_empty(), "{what}: {:?}", series.refused);
    for (index, figures) in series.angles.iter().enumerate() {
        println!("{what}, {}: {figures:.4?}", ANGLES[index]);
        judge(index, figures);
    }
}

/// How many standard deviations of chance a share may be off.
const CHANCE: f64 = 3.0;

/// The stated 95 % hold the truth 93 to 97 times in 100 as far as so few cars
/// can tell, and are not wider than half as much again as needed.
fn honest(what: &str, cars: u64, index: usize, figures: &Figures) {
    let chance = CHANCE * (0.95 * 0.05 / cars as f64).sqrt();
    let (least, most) = (0.95 - chance.max(0.02), 0.95 + chance.max(0.02));
    assert!(
        (least..=most).contains(&figures.coverage),
        "{what}, {}: {figures:?}",
        ANGLES[index]
    );
    assert!(
        figures.width_ratio < 1.5,
        "{what}, {}: {figures:?}",
        ANGLES[index]
    );
}

#[test]
fn calibrated_chips_are_as_good_as_promised() {
    // Limits of camber, caster and SAI; camber hangs on the offset along the
    // spindle, which no turn of the wheel shows.
    for (chip, limits) in [
        (Chip::Cheap, [0.065, 0.03, 0.04]),
        (Chip::Good, [0.03, 0.025, 0.025]),
        (Chip::Inclinometer, [0.025, 0.025, 0.025]),
    ] {
        let series = Summary::of(1, CARS, chip, Conditions::Operator, Way::Stops);
        check(chip.name(), &series, |index, figures| {
            assert!(
                figures.rms <= limits[index],
                "{chip:?} {index}: {figures:?}"
            );
            honest(chip.name(), CARS, index, figures);
        });
    }
}

#[test]
fn chips_without_error_are_exact() {
    let series = Summary::of(1, CARS, Chip::Ideal, Conditions::Chip, Way::Stops);
    check("ideal", &series, |index, figures| {
        assert!(figures.worst < 0.005, "{index}: {figures:?}");
    });
}

#[test]
fn turned_end_for_end_a_board_tells_camber() {
    for chip in [Chip::Cheap, Chip::Good, Chip::Inclinometer, Chip::Ideal] {
        let series = Summary::of(1, CARS, chip, Conditions::Operator, Way::Reversed);
        check(chip.name(), &series, |index, figures| {
            if index == 0 {
                assert!(figures.rms <= 0.03, "{chip:?}: {figures:?}");
            }
            honest(chip.name(), CARS, index, figures);
        });
    }
}

#[test]
fn a_sweep_without_stops_is_as_good() {
    for (chip, limits) in [
        (Chip::Cheap, [0.065, 0.035, 0.045]),
        (Chip::Good, [0.03, 0.025, 0.025]),
    ] {
        let series = Summary::of(1, CARS, chip, Conditions::Operator, Way::Swept);
        check(chip.name(), &series, |index, figures| {
            assert!(
                figures.rms <= limits[index],
                "{chip:?} {index}: {figures:?}"
            );
            honest(chip.name(), CARS, index, figures);
        });
    }
}

#[test]
fn with_noise_alone_nothing_is_left_to_gain() {
    for chip in [Chip::Cheap, Chip::Good, Chip::Inclinometer] {
        let series = Summary::of(1, CARS, chip, Conditions::Noise, Way::Stops);
        check(chip.name(), &series, |index, figures| {
            assert!(
                figures.rms <= 1.15 * figures.stated,
                "{chip:?} {index}: {figures:?}"
            );
        });
    }
}

#[test]
fn a_chip_out_of_the_bag_says_that_it_is_one() {
    let series = Summary::of(1, CARS, Chip::Raw, Conditions::Operator, Way::Stops);
    check("raw", &series, |index, figures| {
        assert!(figures.coverage > 0.93, "{index}: {figures:?}");
        // Seven times what the same chip states when it is calibrated.
        if index == 0 {
            assert!(figures.stated > 0.4, "{figures:?}");
        }
    });
}

#[test]
fn a_board_that_tells_angles_only_is_believed_as_far_as_it_goes() {
    for (chip, limits) in [
        (Chip::Cheap, [0.07, 0.06, 0.085]),
        (Chip::Inclinometer, [0.025, 0.025, 0.025]),
    ] {
        let series = Summary::of(1, CARS, chip, Conditions::Operator, Way::AnglesOnly);
        check(chip.name(), &series, |index, figures| {
            assert!(
                figures.rms <= limits[index],
                "{chip:?} {index}: {figures:?}"
            );
            honest(chip.name(), CARS, index, figures);
        });
    }
}

#[test]
fn a_body_board_takes_a_leaning_body_out() {
    let cars = 100;
    for (chip, limits) in [
        (Chip::Cheap, [0.065, 0.05, 0.06]),
        (Chip::Good, [0.03, 0.03, 0.04]),
        (Chip::Ideal, [0.005, 0.005, 0.015]),
    ] {
        let series = Summary::of_pairs(1, cars, chip, true);
        check(chip.name(), &series, |index, figures| {
            assert!(
                figures.rms <= limits[index],
                "{chip:?} {index}: {figures:?}"
            );
            // Both wheels of a car share floor and body: they count as one.
            let least = 0.95 - CHANCE * (0.95 * 0.05 / cars as f64).sqrt();
            assert!(figures.coverage > least, "{chip:?} {index}: {figures:?}");
        });
        let series = Summary::of_pairs(1, cars, chip, false);
        check("unwatched", &series, |index, figures| {
            assert!(figures.coverage > 0.9, "{chip:?} {index}: {figures:?}");
        });
    }
}
