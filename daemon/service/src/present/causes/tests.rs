use hubplumb_core::side::Side;

use super::*;
use crate::present::advice::assert_words;

#[test]
fn everything_has_words() {
    let words = |all: Vec<Text>| assert_words(&all);
    words(Suspension::ALL.map(suspension_words).into());
    words(NextCheck::ALL.map(next_check_words).into());
    words(Strength::ALL.map(strength_words).into());
    words(Note::ALL.map(note_words).into());
    words(
        [Checked::NotYet, Checked::Sound, Checked::Wrong]
            .map(checked_words)
            .into(),
    );
    words(
        [Against::Data, Against::OtherSide, Against::Before]
            .map(against_words)
            .into(),
    );
    let distinctions = [
        Distinction::NothingCounts,
        Distinction::NothingFits,
        Distinction::CannotTell(Vec::new()),
        Distinction::FirstLeads,
    ];
    words(distinctions.iter().map(distinction_words).collect());
    assert_words(
        &Cause::all()
            .into_iter()
            .map(cause_words)
            .collect::<Vec<_>>(),
    );
}

#[test]
fn every_figure_has_words() {
    let mut clues = vec![Clue::Setback, Clue::Thrust, Clue::Centring];
    for kind in Kind::ALL {
        clues.push(Clue::Across(kind));
        clues.extend(Side::BOTH.map(|side| Clue::Wheel(kind, side)));
    }
    assert_words(&clues.into_iter().map(clue_words).collect::<Vec<_>>());
}

#[test]
fn no_check_has_a_part_heated_or_bent() {
    for check in NextCheck::ALL {
        let words = next_check_words(check).stored().to_lowercase();
        for bad in ["heat", "straighten", "pull it"] {
            assert!(!words.contains(bad), "`{bad}` in: {words}");
        }
    }
    assert!(note_words(Note::NeverHeatOrBend).contains("never heated or bent"));
}

#[test]
fn why_nothing_is_said_is_told() {
    let clue = Clue::Wheel(Kind::Sai, Side::Left);
    let errors = [
        CausesError::NoFigure,
        CausesError::NoUncertainty {
            clue,
            value_rad: 0.1,
            standard_rad: 0.0,
        },
        CausesError::Twice { clue },
        CausesError::Correlations,
    ];
    let troubles: Vec<_> = errors.iter().map(causes_trouble).collect();
    for (index, found) in troubles.iter().enumerate() {
        assert!(!found.what.is_empty() && !found.remedy.is_empty());
        assert!(
            troubles[..index]
                .iter()
                .all(|other| other.code != found.code)
        );
    }
    assert!(troubles[1].what.contains("left steering axis inclination"));
}
