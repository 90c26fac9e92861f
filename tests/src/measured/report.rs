//! The tables of `docs/VALIDATION.md`.

use std::fmt::Write as _;

use super::{Chip, Conditions, Figures, Summary, Way};

const HEAD: &str = "\
# How far the measuring is off

Written by a command, not by hand:

```sh
cargo run --release -p hubplumb-tests --bin measured-errors > docs/VALIDATION.md
```

Every line is a series of random cars of the project's own simulator, which shares no code with the estimation, measured
and compared with the truth. Drawn are: caster −2…12°, SAI 4…18°, camber −4…3°, toe ±1°, slope of the floor ±2°, gravity
9.78…9.83 m/s², stops 18…22° to either side, any mounting of the board. A session is: the corner jacked, four rests of
3 s with the wheel turned by quarters (86…94°), brake locked, 5 s straight ahead, 5 s at each stop, 5 s straight ahead,
moves of 2, 4 and 2 s, 100 readings a second. Turn plates are read to 0.25°. The program is told the class of the chip and
nothing of its errors.

- **noise**: the chip has its noise and nothing else, and the program knows that. Then nothing can be better than the
  Cramér–Rao bound; *ratio* is the error over that bound. (That what the solver states is the bound is checked against an
  independent Fisher information, see `tests/reference/joint_reference.py`.)
- **chip**: all errors of a calibrated chip: offset, scale, cross-axis, warming by 1.5 °C, wandering.
- **operator**: those, and a floor measured to 0.02° and a toe measured to 0.03° (one sigma).

*95 %* and *worst* are of the size of the error. *stated* is the root mean square of the stated standard uncertainties.
*cover* is the share of stated 95 % intervals that hold the truth. *width* is the mean half width of the stated intervals
over the one that would have been needed, which is the 95 % of the errors. Angles in degrees.
";

const COLUMNS: &str = "\
| chip | what is wrong | angle | RMS | median | 95 % | worst | stated | cover | width |
| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
";

const ANGLES: [&str; 3] = ["camber", "caster", "SAI"];

/// Runs all series of `trials` cars each and writes them down.
pub fn report(trials: u64) -> String {
    let mut text = String::from(HEAD);
    let calibrated = [Chip::Ideal, Chip::Good, Chip::Cheap, Chip::Inclinometer];
    let _ = writeln!(
        text,
        "\n## One wheel\n\n{trials} cars, seeds 1 to {trials}.\n\n{COLUMNS_NOISE}"
    );
    for chip in [Chip::Good, Chip::Cheap, Chip::Inclinometer] {
        let series = Summary::of(1, trials, chip, Conditions::Noise, Way::Stops);
        for (name, f) in ANGLES.iter().zip(series.angles) {
            let _ = writeln!(
                text,
                "| {} | noise | {name} | {:.4} | {:.4} | {:.2} |",
                chip.name(),
                f.rms,
                f.stated,
                f.rms / f.stated
            );
        }
    }
    let _ = write!(text, "\n{COLUMNS}");
    for chip in calibrated {
        for conditions in [Conditions::Chip, Conditions::Operator] {
            let series = Summary::of(1, trials, chip, conditions, Way::Stops);
            lines(&mut text, chip.name(), conditions.name(), &series);
        }
    }
    let _ = write!(
        text,
        "\nThe cheap chip out of the bag, offset 30 mg and scale 1 %. The right answer is a wide interval.\n\n{COLUMNS}"
    );
    let raw = Summary::of(1, trials, Chip::Raw, Conditions::Operator, Way::Stops);
    lines(
        &mut text,
        Chip::Raw.name(),
        Conditions::Operator.name(),
        &raw,
    );
    let _ = write!(
        text,
        "\n## After turning the board end for end\n\nBefore the session the board was turned over on the hub, top to \
         bottom, and back; the clamp seats it to 0.02° (one sigma, each axis).\n\n{COLUMNS}"
    );
    for chip in [
        Chip::Ideal,
        Chip::Good,
        Chip::Cheap,
        Chip::Inclinometer,
        Chip::Raw,
    ] {
        let series = Summary::of(1, trials, chip, Conditions::Operator, Way::Reversed);
        lines(&mut text, chip.name(), Conditions::Operator.name(), &series);
    }
    let _ = write!(
        text,
        "\n## Swept without stopping\n\nFrom straight ahead to 26…30° on both sides, twice, 14 s from side to side, and back; no \
         plate is read.\n\n{COLUMNS}"
    );
    for chip in [Chip::Ideal, Chip::Good, Chip::Cheap] {
        let series = Summary::of(1, trials, chip, Conditions::Operator, Way::Swept);
        lines(&mut text, chip.name(), Conditions::Operator.name(), &series);
    }
    let _ = write!(
        text,
        "\n## A board that tells roll and pitch only\n\nThe same chips; the length of gravity and the gyro are thrown \
         away.\n\n{COLUMNS}"
    );
    for chip in [Chip::Good, Chip::Cheap, Chip::Inclinometer] {
        let series = Summary::of(1, trials, chip, Conditions::Operator, Way::AnglesOnly);
        lines(&mut text, chip.name(), Conditions::Operator.name(), &series);
    }
    let pairs = trials / 3;
    let _ = write!(
        text,
        "\n## Both wheels at once, the body leaning\n\nThe body rolls with the steering by up to ±0.4° at 20° and dips by up \
         to 0.15°; the inner wheel turns further by 3…10 %; each board has a clock of its own; errors of chip and operator as \
         above. {pairs} cars, two wheels each. With a board on the body, strapped on anyhow, its heading comes from the two \
         jackings, whose pitch differs by 0.07° (one sigma). Without one the body's motion is a stated uncertainty \
         (0.23° roll, 0.09° pitch at 20°), and what the wheels themselves tell of it.\n\n{COLUMNS}"
    );
    for chip in calibrated {
        for (watched, name) in [(true, "body board"), (false, "no body board")] {
            let series = Summary::of_pairs(1, pairs, chip, watched);
            lines(&mut text, chip.name(), name, &series);
        }
    }
    text
}

const COLUMNS_NOISE: &str = "\
| chip | what is wrong | angle | RMS | bound | ratio |
| --- | --- | --- | ---: | ---: | ---: |";

fn lines(text: &mut String, chip: &str, what: &str, series: &Summary) {
    for (name, f) in ANGLES.iter().zip(series.angles) {
        let Figures {
            rms,
            median,
            largest_95,
            worst,
            stated,
            coverage,
            width_ratio,
        } = f;
        // Where nothing is uncertain the width says nothing.
        let width = if largest_95 < 0.002 {
            "–".to_owned()
        } else {
            format!("{width_ratio:.2}")
        };
        let _ = writeln!(
            text,
            "| {chip} | {what} | {name} | {rms:.4} | {median:.4} | {largest_95:.4} | {worst:.4} | {stated:.4} | {coverage:.3} | {width} |"
        );
    }
    if let Some((seed, why)) = series.refused.first() {
        let _ = writeln!(
            text,
            "\n{} of {} cars were refused, the first with seed {seed}: {why}\n",
            series.refused.len(),
            series.trials
        );
    }
}
