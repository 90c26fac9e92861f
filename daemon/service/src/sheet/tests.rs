use super::sample::{finding, verdict, visit};
use super::{Angles, Paper, PastVisit, SheetOptions, written};
use crate::http::visit_views::{VerdictWord, VisitView};
use crate::visit::{Place, Quantity, Stage};

fn options() -> SheetOptions {
    SheetOptions {
        made_at: "2026-05-30T15:00:00Z".to_owned(),
        ..SheetOptions::default()
    }
}

fn sheet(visit: &VisitView) -> String {
    written(visit, &[PastVisit::of(visit)], &options())
}

/// The row of a quantity at a place.
fn row<'a>(sheet: &'a str, name: &str) -> &'a str {
    let from = sheet
        .find(&format!("data-row=\"{name}\""))
        .unwrap_or_else(|| panic!("no row for {name}"));
    let row = &sheet[from..];
    &row[..row.find("</tbody>").unwrap()]
}

#[test]
fn every_finding_stands_on_the_sheet_with_its_doubt_sense_and_verdict() {
    let visit = visit();
    let sheet = sheet(&visit);
    for finding in &visit.findings {
        let value = super::figure::value(
            finding.value,
            finding.expanded,
            finding.unit,
            Angles::Decimal,
        );
        let doubt = super::figure::expanded(finding.expanded, finding.unit, Angles::Decimal);
        let name = format!("{} {}", finding.quantity.words(), finding.place.words());
        let place = if finding.stage == Stage::Adjusting {
            let from = sheet.find("Measured in between").unwrap();
            &sheet[from..sheet.find("Against the plumb line").unwrap()]
        } else {
            row(&sheet, &name)
        };
        for wanted in [value.as_str(), &doubt, &finding.sense.to_string()] {
            assert!(
                place.contains(wanted),
                "{name}, {}: {wanted}",
                finding.stage.words()
            );
        }
        if let Some(found) = &finding.verdict {
            assert!(
                place.contains(&super::verdict::word(found.verdict).stored()),
                "{name}"
            );
        }
    }
}

#[test]
fn every_part_of_a_visit_has_its_place() {
    let sheet = sheet(&visit());
    for part in [
        "Wicket 1300",
        "visit 3",
        "2026-05-30 13:20 UTC",
        // Conditions, entered and not.
        "182<span class=\"wanted\"> (180 wanted)</span>",
        "not entered",
        "17.5 °C",
        "empty, a third of a tank",
        "0.12° down to the left",
        "ride height front right: 352 mm wanted, not measured",
        // Preparation.
        "Tyres and tread alike on each axle<b> – not seen to",
        "Brake held – seen to, 2026-05-30 13:25 UTC",
        // Differences, moves, meaning, work, notes.
        "+1.52°",
        "0.50° at most",
        "upper arm shims",
        "+1.5 mm and −0.5 mm",
        "not told: tightened to the maker's value, suspension settled",
        "Rule out first",
        "Sagged spring",
        "Next check: ",
        "After an accident: licensed practice first.",
        "0.5 mm out at both bolts",
        "left tyre worn inside",
        // Where it comes from.
        "by twelve poses, 12 days old, leaves 0.02°",
        "hubplumb 0.1.7",
        "taken back: does not hold",
        "rocked by hand: indicative only",
        // What holds for every sheet.
        "95 times in 100",
        "No conformity to any standard for measuring equipment is claimed",
        "road test",
        "steering-angle sensor",
        "maker's value",
        "licensed practice",
        // Pictures.
        "drawn ×10",
        "drawn ×5",
        "steer angle, °",
        "No other visit of this car",
    ] {
        assert!(sheet.contains(part), "{part}");
    }
}

#[test]
fn what_is_undecided_says_what_would_decide() {
    let mut visit = visit();
    let sheet_now = sheet(&visit);
    let camber = row(&sheet_now, "Camber front right");
    assert!(
        camber.contains("What would decide: a ± of 0.04° or less"),
        "{camber}"
    );
    // Decided anew after, nobody asks any more what would have decided before.
    visit.findings = vec![
        finding(
            Stage::Before,
            Quantity::Camber,
            Place::FrontLeft,
            (-1.0, 0.1),
            Some((-1.0, -0.5, 0.0)),
        ),
        finding(
            Stage::After,
            Quantity::Camber,
            Place::FrontLeft,
            (-0.5, 0.1),
            Some((-1.0, -0.5, 0.0)),
        ),
    ];
    let sheet = sheet(&visit);
    let camber = row(&sheet, "Camber front left");
    assert!(
        camber.contains("undecided") && camber.contains("inside"),
        "{camber}"
    );
    assert!(!camber.contains("What would decide"), "{camber}");
}

#[test]
fn what_was_not_measured_is_said_and_never_a_zero() {
    let mut visit = visit();
    visit
        .findings
        .retain(|finding| finding.stage == Stage::Before);
    visit.conditions = None;
    let before = sheet(&visit);
    let camber = row(&before, "Camber front left");
    assert!(
        camber.contains("−1.32°") && camber.contains("not measured"),
        "{camber}"
    );
    visit.findings.clear();
    visit.differences.clear();
    visit.moves.clear();
    visit.runs.clear();
    let bare = sheet(&visit);
    for name in [
        "Camber rear right",
        "Caster front left",
        "Total toe rear axle",
        "Thrust angle whole car",
    ] {
        let row = row(&bare, name);
        assert_eq!(row.matches("not measured").count(), 2, "{row}");
        assert!(!row.contains("0.00") && !row.contains("<svg"), "{row}");
    }
    for words in [
        "Nothing was measured.",
        "No adjuster was moved.",
        "not measured on both sides",
    ] {
        let there = bare.contains(words)
            || words == "not measured on both sides"
                && bare.contains("No quantity was measured on both sides");
        assert!(there, "{words}");
    }
    assert!(!bare.contains("NaN") && !bare.contains("inf"), "{bare}");
}

#[test]
fn a_finding_without_limits_gets_no_verdict() {
    let sheet = sheet(&visit());
    let setback = row(&sheet, "Setback front axle");
    assert!(
        setback.contains("none told") && !setback.contains("class=\"verdict\""),
        "{setback}"
    );
    assert!(!setback.contains("inside"), "{setback}");
}

#[test]
fn names_and_notes_cannot_become_markup_or_style() {
    let evil = "<script>alert(1)</script></style><img src=x> \" \\ '";
    let mut visit = visit();
    visit.car.name = evil.to_owned();
    visit.car.notes = evil.to_owned();
    visit.notes[0].text = evil.to_owned();
    visit.moves[0].adjuster = evil.to_owned();
    visit.preparation[0].note = evil.to_owned();
    visit.runs[0].boards[0].name = evil.to_owned();
    let sheet = sheet(&visit);
    assert!(
        !sheet.contains("<script") && !sheet.contains("<img"),
        "{sheet}"
    );
    assert_eq!(sheet.matches("</style>").count(), 1);
    assert!(sheet.contains("&lt;script&gt;"));
}

#[test]
fn the_file_needs_nothing_else() {
    let sheet = sheet(&visit());
    for outside in [
        "http://", "https://", "url(", "@import", "<script", "<link", "src=",
    ] {
        assert!(!sheet.contains(outside), "{outside}");
    }
}

#[test]
fn angles_and_paper_are_as_asked() {
    let visit = visit();
    let asked = SheetOptions {
        angles: Angles::Minutes,
        paper: Paper::Letter,
        ..options()
    };
    let sheet = written(&visit, &[], &asked);
    assert!(sheet.contains("size: letter"));
    let camber = row(&sheet, "Camber front left");
    for wanted in ["−1° 19′", "± 4′", "−1° 00′ to 0° 00′", "target −0° 30′"] {
        assert!(camber.contains(wanted), "{wanted}: {camber}");
    }
    assert!(written(&visit, &[], &options()).contains("size: A4"));
}

#[test]
fn the_history_is_drawn_from_two_visits_on() {
    let now = visit();
    let mut earlier = PastVisit::of(&now);
    earlier.id = 1;
    earlier.began_at = "2025-04-01T10:00:00Z".to_owned();
    let sheet = written(&now, &[PastVisit::of(&now), earlier.clone()], &options());
    assert!(sheet.contains("2025-04-01"), "the earlier day is named");
    assert!(sheet.contains("aria-label=\"Total toe, front\""));
    assert!(
        !sheet.contains("aria-label=\"Total toe, rear\""),
        "never measured"
    );
    // What stands last in a visit is what counts.
    let camber = earlier
        .findings
        .iter()
        .find(|f| f.quantity == Quantity::Camber && f.place == Place::FrontLeft);
    assert_eq!(camber.map(|f| f.value), Some(-0.55));
}

#[test]
fn the_shapes_of_the_verdicts_differ() {
    let shapes: Vec<String> = [
        VerdictWord::Inside,
        VerdictWord::Outside,
        VerdictWord::Undecided,
    ]
    .into_iter()
    .map(|word| super::verdict::shape(verdict(word).verdict).into_string())
    .collect();
    assert!(shapes[0] != shapes[1] && shapes[1] != shapes[2] && shapes[0] != shapes[2]);
}
