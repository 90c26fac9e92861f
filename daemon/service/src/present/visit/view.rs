//! A visit as it stands.

use hubplumb_core::causes::Checked;

use super::curve::curve;
use super::difference::differences;
use super::finding::finding_view;
use super::meaning::meaning;
use super::work::{amount::unit_words, work};
use crate::car::{CarRecord, Corner, Corners};
use crate::http::visit_views::{
    AtHandView, CarView, MoveView, NoteView, PointView, RunView, VisitLineView, VisitView,
};
use crate::store::{CarRow, Store, StoreFault};
use crate::text;
use crate::text::{Text, plain, signed};
use crate::visit::{Conditions, Move, Noted, Point, Run, Stage, Visit};
use crate::visiting::AtHand;

/// Without a stated limit a ride height that is off by more counts; common practice, no source.
const RIDE_HEIGHT_MM: f64 = 10.0;

/// A gauge for tyres reads to about this; common practice, no source.
const TYRE_KPA: f64 = 10.0;

/// The visit at hand.
pub fn at_hand_view(at_hand: Option<AtHand>) -> AtHandView {
    AtHandView {
        id: at_hand.map(|at_hand| at_hand.id),
        entries: at_hand.map_or(0, |at_hand| at_hand.entries),
    }
}

/// A car with what is missing.
pub fn car_view(car: CarRow) -> CarView {
    let missing = missing(&car.record);
    CarView {
        id: car.id,
        changed_at: car.changed_at,
        record: car.record,
        missing,
    }
}

/// What is not known of a car and would be wanted.
fn missing(car: &CarRecord) -> Vec<Text> {
    let front = &car.targets.front;
    let rear = &car.targets.rear;
    [
        (
            car.wheelbase_mm.is_none(),
            text!("wheelbase: the dog-track offset and the ideal toe-out on turns hang on it"),
        ),
        (
            car.front.track_mm.is_none(),
            text!("front track: setback as an angle hangs on it"),
        ),
        (
            car.steering.ratio.is_none(),
            text!("steering ratio: the angle of the steering wheel hangs on it"),
        ),
        (
            car.steering.axis_spacing_mm.is_none(),
            text!("distance of the steering axes: the Ackermann share hangs on it"),
        ),
        (
            car.steering.axis_inboard_mm.is_none() || car.front.loaded_radius_mm.is_none(),
            text!(
                "place of the steering axis and loaded radius: scrub radius and trail hang on them"
            ),
        ),
        (front.camber_deg.is_empty(), text!("front camber target")),
        (front.caster_deg.is_empty(), text!("caster target")),
        (
            front.sai_deg.is_empty(),
            text!("SAI target: what is bent is told by it"),
        ),
        (
            front.toe_deg.is_empty() && front.total_toe_deg.is_empty(),
            text!("front toe target"),
        ),
        (rear.camber_deg.is_empty(), text!("rear camber target")),
        (
            rear.toe_deg.is_empty() && rear.total_toe_deg.is_empty(),
            text!("rear toe target"),
        ),
        (
            car.targets.thrust_deg.is_empty(),
            text!("thrust angle limit"),
        ),
        (
            car.adjusters.is_empty(),
            text!("adjusters: without them there is no advice in turns or shims"),
        ),
    ]
    .into_iter()
    .filter(|(is_missing, _)| *is_missing)
    .map(|(_, what)| what)
    .collect()
}

/// The list of visits.
pub fn visit_lines(store: &Store, car: Option<i64>) -> Result<Vec<VisitLineView>, StoreFault> {
    let at_hand = store.at_hand()?;
    store
        .visits(car)?
        .into_iter()
        .map(|row| {
            let entries = store.entries(row.id)?;
            let visit = Visit::of(&entries).ok_or(StoreFault::NoVisit { id: row.id })?;
            Ok(VisitLineView {
                id: row.id,
                car_id: row.car,
                car: visit.car.name.clone(),
                began_at: row.began_at,
                stage: visit.stage,
                at_hand: at_hand == Some(row.id),
            })
        })
        .collect()
}

/// One visit as it stands.
pub fn visit_of(store: &Store, id: i64) -> Result<VisitView, StoreFault> {
    let row = store.visit(id)?;
    let entries = store.entries(id)?;
    let visit = Visit::of(&entries).ok_or(StoreFault::NoVisit { id })?;
    let findings = Stage::ALL
        .iter()
        .flat_map(|stage| visit.all_standing(*stage))
        .map(|standing| finding_view(&standing, &visit))
        .collect();
    let mut runs: Vec<RunView> = visit
        .runs
        .iter()
        .chain(&visit.taken_back)
        .map(|run| run_view(run, visit.why_taken_back.get(&run.number).copied()))
        .collect();
    runs.sort_by_key(|run| run.number);
    Ok(VisitView {
        id,
        mark: row.mark,
        car_id: row.car,
        car: visit.car.clone(),
        began_at: row.began_at,
        software: visit.software.to_owned(),
        at_hand: store.at_hand()? == Some(id),
        stage: visit.stage,
        entries: entries.last().map_or(0, |entry| entry.number),
        preparation: Point::ALL
            .iter()
            .map(|point| point_view(&visit, *point))
            .collect(),
        conditions: visit.conditions.as_ref().map(|noted| noted.what.clone()),
        conditions_off: conditions_off(
            visit.car,
            visit.conditions.as_ref().map(|noted| noted.what),
        ),
        findings,
        differences: Stage::ALL
            .iter()
            .flat_map(|stage| differences(&visit, *stage))
            .collect(),
        runs,
        moves: visit
            .moves
            .iter()
            .map(|moved| move_view(visit.car, moved))
            .collect(),
        meaning: meaning(
            &visit,
            heights(visit.car, visit.conditions.as_ref().map(|noted| noted.what)),
        ),
        work: work(&visit),
        notes: visit
            .notes
            .iter()
            .map(|note| NoteView {
                number: note.number,
                at: note.at.clone(),
                text: note.what.to_owned(),
            })
            .collect(),
    })
}

fn point_view(visit: &Visit<'_>, point: Point) -> PointView {
    let seen = visit.prepared.get(&point);
    PointView {
        point,
        title: point.title(),
        say: point.say(),
        cautions: point.cautions(),
        done_at: seen.map(|noted| noted.at.clone()),
        note: seen.map_or_else(String::new, |noted| noted.what.to_owned()),
    }
}

fn run_view(run: &Noted<&Run>, why_taken_back: Option<&str>) -> RunView {
    RunView {
        number: run.number,
        at: run.at.clone(),
        stage: run.what.stage,
        procedure: run.what.procedure,
        name: run.what.procedure.words(),
        method: Text::recalled(&run.what.method),
        boards: run.what.boards.clone(),
        software: run.what.software.clone(),
        taken_back: why_taken_back.is_some(),
        why_taken_back: why_taken_back.unwrap_or_default().to_owned(),
        curve: curve(run.what),
    }
}

fn move_view(car: &CarRecord, moved: &Noted<&Move>) -> MoveView {
    let unit = car
        .adjusters
        .iter()
        .find(|record| record.name == moved.what.adjuster)
        .map_or_else(Text::empty, |record| unit_words(&record.way));
    MoveView {
        number: moved.number,
        at: moved.at.clone(),
        adjuster: moved.what.adjuster.clone(),
        corner: moved.what.corner,
        say: Text::sentences([amounts_words(&moved.what.amount), unit]),
        seen_to: moved.what.seen_to.clone(),
    }
}

/// One amount, or that of the front and of the rear bolt.
pub(super) fn amounts_words(amounts: &[f64]) -> Text {
    let mut all = amounts.iter().map(|amount| Text::from(signed(*amount, 2)));
    let first = all.next().unwrap_or_default();
    all.fold(first, |before, next| {
        text!("{before} and {next}", before, next)
    })
}

/// Where the car is not in the state its targets hold in.
fn conditions_off(car: &CarRecord, found: Option<&Conditions>) -> Vec<Text> {
    let unknown = Conditions::default();
    let found_at = found.unwrap_or(&unknown);
    let mut off = Vec::new();
    let mut compare =
        |name: &Text, unit: &str, wanted: &Corners<f64>, found: &Corners<f64>, within| {
            for corner in Corner::ALL {
                match (wanted.get(corner), found.get(corner)) {
                    (Some(wanted), None) => off.push(text!(
                        "{name} {corner}: {wanted} {unit} wanted, not measured",
                        name,
                        corner = corner.words(),
                        wanted = plain(wanted),
                        unit
                    )),
                    (Some(wanted), Some(found)) if (found - wanted).abs() > within => {
                        off.push(text!(
                            "{name} {corner}: {wanted} {unit} wanted, {found} {unit} found",
                            name,
                            corner = corner.words(),
                            wanted = plain(wanted),
                            found = plain(found),
                            unit
                        ));
                    }
                    _ => {}
                }
            }
        };
    compare(
        &text!("tyre pressure"),
        "kPa",
        &car.holds.tyre_kpa,
        &found_at.tyre_kpa,
        TYRE_KPA,
    );
    let within = car.holds.ride_height_within_mm.unwrap_or(RIDE_HEIGHT_MM);
    compare(
        &text!("ride height"),
        "mm",
        &car.holds.ride_height_mm,
        &found_at.ride_height_mm,
        within,
    );
    if !car.holds.load.is_empty() && found_at.load.is_empty() {
        off.push(text!(
            "load: {load} wanted, nothing entered",
            load = &car.holds.load
        ));
    }
    for (left, right, front) in [
        (Corner::FrontLeft, Corner::FrontRight, true),
        (Corner::RearLeft, Corner::RearRight, false),
    ] {
        // Audi manuals: treads of one axle may differ by 2 mm at most.
        if let (Some(left), Some(right)) =
            (found_at.tread_mm.get(left), found_at.tread_mm.get(right))
            && (left - right).abs() > 2.0
        {
            let (left, right) = (plain(left), plain(right));
            off.push(if front {
                text!(
                    "tread, front: {left} and {right} mm, 2 mm apart at most",
                    left,
                    right
                )
            } else {
                text!(
                    "tread, rear: {left} and {right} mm, 2 mm apart at most",
                    left,
                    right
                )
            });
        }
    }
    off
}

/// Were ride heights looked at, and are they as the car's record wants them?
fn heights(car: &CarRecord, found: Option<&Conditions>) -> Checked {
    let within = car.holds.ride_height_within_mm.unwrap_or(RIDE_HEIGHT_MM);
    let pairs: Option<Vec<(f64, f64)>> = Corner::ALL
        .iter()
        .map(|corner| {
            let wanted = car.holds.ride_height_mm.get(*corner)?;
            Some((wanted, found?.ride_height_mm.get(*corner)?))
        })
        .collect();
    match pairs {
        None => Checked::NotYet,
        Some(pairs)
            if pairs
                .iter()
                .all(|(wanted, found)| (wanted - found).abs() <= within) =>
        {
            Checked::Sound
        }
        Some(_) => Checked::Wrong,
    }
}
