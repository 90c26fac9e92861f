//! Cars and visits on the wire.
//!
//! Unlike live values, what is stored is shown as it is stored: a car's record, the
//! conditions and the evidence have the same shape in files, in the store and here.

pub use super::entered_views::{EnteredFigures, EnteredWish, GapPair, SpotPlace, StringDistances};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::car::{CarRecord, Corner, Limits};
use crate::text::Text;
use crate::visit::{
    AfterMove, BoardUsed, Conditions, Entry, Move, Place, Point, Procedure, Quantity, ShareRecord,
    Stage, Unit,
};

/// A car that is kept.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CarView {
    /// Its number.
    pub id: i64,
    /// When it was last changed, RFC 3339.
    pub changed_at: String,
    /// What is known of it.
    pub record: CarRecord,
    /// What is not known and would be wanted, in words.
    pub missing: Vec<Text>,
}

/// A text file of a car, to be imported.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CarText {
    /// TOML or JSON (docs/car.example.toml).
    pub text: String,
}

/// Body of a request that begins a visit.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VisitStart {
    /// Number of the car.
    pub car: i64,
}

/// Body of a request that adds an entry to a visit.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EntryWish {
    /// A name of the asker's own, e.g. a random one: asking again under it adds nothing.
    pub ask: String,
    /// What to add. Openings and runs of procedures are added by the daemon alone.
    pub what: EntryWanted,
}

/// What may be added to a visit from outside.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "entry", rename_all = "snake_case", deny_unknown_fields)]
pub enum EntryWanted {
    /// A point of the preparation was seen to, or is open again.
    Prepared {
        /// Which one.
        point: Point,
        /// Was it seen to?
        done: bool,
        /// What was noticed.
        #[serde(default)]
        note: String,
    },
    /// The state of the car; replaces what was entered before.
    Conditions(Conditions),
    /// Another part of the visit begins.
    Stage {
        /// Which one.
        stage: Stage,
    },
    /// An adjuster was moved.
    Moved(Move),
    /// An earlier entry does not hold.
    TakenBack {
        /// Number of that entry.
        number: u32,
        /// Why.
        #[serde(default)]
        why: String,
    },
    /// Anything worth remembering.
    Note {
        /// The text.
        text: String,
    },
}

impl From<EntryWanted> for Entry {
    fn from(wanted: EntryWanted) -> Self {
        match wanted {
            EntryWanted::Prepared { point, done, note } => Self::Prepared { point, done, note },
            EntryWanted::Conditions(conditions) => Self::Conditions(conditions),
            EntryWanted::Stage { stage } => Self::Stage { stage },
            EntryWanted::Moved(moved) => Self::Moved(moved),
            EntryWanted::TakenBack { number, why } => Self::TakenBack { number, why },
            EntryWanted::Note { text } => Self::Note { text },
        }
    }
}

/// The visit at hand, for the stream: whoever shows it asks for it anew when this changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, ToSchema)]
pub struct AtHandView {
    /// Number of the visit; none where none is at hand.
    pub id: Option<i64>,
    /// Number of its last entry.
    pub entries: u32,
}

/// A visit in a list.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct VisitLineView {
    /// Its number.
    pub id: i64,
    /// Its car, while that is kept.
    pub car_id: Option<i64>,
    /// The car's name then.
    pub car: String,
    /// When it began, RFC 3339.
    pub began_at: String,
    /// The part at hand.
    pub stage: Stage,
    /// Is it the visit at hand?
    pub at_hand: bool,
}

/// A visit as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct VisitView {
    /// Its number.
    pub id: i64,
    /// The same in every store that it was brought into.
    pub mark: String,
    /// Its car, while that is kept.
    pub car_id: Option<i64>,
    /// The car as it was known when the visit began.
    pub car: CarRecord,
    /// When it began, RFC 3339.
    pub began_at: String,
    /// Version of the daemon that began it.
    pub software: String,
    /// Is it the visit at hand, into which finished procedures go?
    pub at_hand: bool,
    /// The part at hand.
    pub stage: Stage,
    /// Number of its last entry.
    pub entries: u32,
    /// The preparation, point by point.
    pub preparation: Vec<PointView>,
    /// The state of the car.
    pub conditions: Option<Conditions>,
    /// Where that state is not the one the targets hold in, or is not known, in words.
    pub conditions_off: Vec<Text>,
    /// Every finding that stands, of every stage, in the order of a sheet.
    pub findings: Vec<VisitFindingView>,
    /// Left less right.
    pub differences: Vec<SideDifferenceView>,
    /// What was done, newest last.
    pub runs: Vec<RunView>,
    /// Adjusters that were moved.
    pub moves: Vec<MoveView>,
    /// What the findings may mean.
    pub meaning: MeaningView,
    /// What to adjust, in order.
    pub work: Vec<WorkStepView>,
    /// Notes.
    pub notes: Vec<NoteView>,
}

/// A point of the preparation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema, JsonSchema)]
pub struct PointView {
    /// Which one.
    pub point: Point,
    /// Its title.
    pub title: Text,
    /// What to do.
    pub say: Text,
    /// What can hurt somebody.
    pub cautions: Vec<Text>,
    /// When it was seen to; none while it is open.
    pub done_at: Option<String>,
    /// What was noticed.
    pub note: String,
}

/// A finding that stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct VisitFindingView {
    /// Number of the entry it came with.
    pub number: u32,
    /// When, RFC 3339.
    pub at: String,
    /// Part of the visit.
    pub stage: Stage,
    /// By which procedure.
    pub procedure: Procedure,
    /// Of what.
    pub quantity: Quantity,
    /// The same in words.
    pub name: Text,
    /// Where.
    pub place: Place,
    /// The same in words.
    pub place_words: Text,
    /// The value, in `unit`.
    pub value: f64,
    /// Standard uncertainty.
    pub standard: f64,
    /// Half width of the 95 % interval.
    pub expanded: f64,
    /// What they are counted in.
    pub unit: Unit,
    /// The sign in words.
    pub sense: Text,
    /// The same told otherwise: toe as lengths at the rim's flange, where that is known, and as side slip.
    pub also: Vec<Text>,
    /// Target and limits, where the car's record has them.
    pub limits: Option<Limits>,
    /// Inside, outside or undecided; none without limits.
    pub verdict: Option<VerdictView>,
    /// What contributes most to the uncertainty.
    pub largest_contributor: Text,
    /// Shares of the variance by cause, largest first.
    pub budget: Vec<ShareRecord>,
    /// What would make it better.
    pub advice: Text,
    /// What has to be known beside the figure.
    pub caveat: Text,
}

/// A decision with uncertainty (JCGM 106).
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct VerdictView {
    /// The verdict.
    pub verdict: VerdictWord,
    /// Probability that the true value is within the limits, 0 to 1.
    pub chance_inside: f64,
    /// One sentence.
    pub say: Text,
    /// What would decide it, where it is undecided.
    pub would_decide: Text,
}

/// The three verdicts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum VerdictWord {
    /// Within the limits, the uncertainty included.
    Inside,
    /// Beyond a limit, the uncertainty included.
    Outside,
    /// The uncertainty reaches across a limit.
    Undecided,
}

/// Left less right of one quantity.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct SideDifferenceView {
    /// Part of the visit.
    pub stage: Stage,
    /// Of what.
    pub quantity: Quantity,
    /// Is it of the front axle?
    pub front: bool,
    /// Left less right, degrees.
    pub value_deg: f64,
    /// Standard uncertainty, degrees.
    pub standard_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
    /// Correlation of the sides that was used.
    pub correlation: f64,
    /// What they may differ by, where the car's record says so.
    pub most_deg: Option<f64>,
    /// Inside, outside or undecided; none without a limit.
    pub verdict: Option<VerdictView>,
}

/// A finished procedure.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct RunView {
    /// Number of its entry.
    pub number: u32,
    /// When, RFC 3339.
    pub at: String,
    /// Part of the visit.
    pub stage: Stage,
    /// Which procedure.
    pub procedure: Procedure,
    /// The same in words.
    pub name: Text,
    /// How it was done.
    pub method: Text,
    /// Boards that took part, with their calibrations.
    pub boards: Vec<BoardUsed>,
    /// Version of the daemon that did it.
    pub software: String,
    /// Was it taken back?
    pub taken_back: bool,
    /// Why, as it was typed; empty where it was not, or was not taken back.
    pub why_taken_back: String,
    /// Points of its curve, where it has one.
    pub curve: Option<CurveView>,
}

/// A curve for a plot.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct CurveView {
    /// What lies along.
    pub along: Text,
    /// Unit of that.
    pub along_unit: String,
    /// What lies up.
    pub up: Text,
    /// Unit of that.
    pub up_unit: String,
    /// The lines, e.g. one a wheel.
    pub lines: Vec<CurveLineView>,
}

/// One line of a curve.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct CurveLineView {
    /// Of which wheel.
    pub place: Place,
    /// Measured points: along, up, half width of the 95 % interval of up.
    pub points: Vec<[f64; 3]>,
    /// The fitted curve: along, up.
    pub fitted: Vec<[f64; 2]>,
}

/// An adjuster that was moved.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct MoveView {
    /// Number of its entry.
    pub number: u32,
    /// When, RFC 3339.
    pub at: String,
    /// Its name.
    pub adjuster: String,
    /// At which corner.
    pub corner: Corner,
    /// How far, in words.
    pub say: Text,
    /// What was seen to after it.
    pub seen_to: Vec<AfterMove>,
}

/// What the findings may mean: never one cause alone, and never without a next check.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema, JsonSchema)]
pub struct MeaningView {
    /// What to rule out first, always.
    pub rule_out_first: Vec<Text>,
    /// What the findings fit, the best first.
    pub candidates: Vec<CandidateView>,
    /// What to heed, e.g. that accident damage is for licensed practice.
    pub heed: Vec<Text>,
}

/// A candidate for a cause.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct CandidateView {
    /// Stable code.
    pub code: String,
    /// Where on the car.
    pub place: Place,
    /// The candidate in words.
    pub title: Text,
    /// How well the findings fit: `fits well`, `fits`, `not ruled out`.
    pub fit: Text,
    /// The evidence.
    pub evidence: Vec<Text>,
    /// The next check.
    pub next: Text,
}

/// One step of adjusting.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema, JsonSchema)]
pub struct WorkStepView {
    /// Place in the order, from 1.
    pub order: u32,
    /// Which quantity it sets.
    pub quantity: Quantity,
    /// Where.
    pub place: Place,
    /// Adjuster by which; none where the car's record names none.
    pub adjuster: Option<String>,
    /// Where it stands.
    pub value: f64,
    /// Half width of its 95 % interval.
    pub expanded: f64,
    /// What it should be.
    pub aim: f64,
    /// What the figures are counted in.
    pub unit: Unit,
    /// How far to move the adjuster, in its own units, in words; or why that cannot be told yet.
    pub say: Text,
    /// The same as figures: the amount for each of its screws, with half widths.
    pub amount: Vec<[f64; 2]>,
    /// Unit of the amount.
    pub amount_unit: Text,
    /// Where the effect per unit is from, in words: geometry, learned from moves.
    pub known_from: Text,
    /// Why it comes here in the order.
    pub reason: Text,
    /// What else it changes.
    pub changes: Vec<Text>,
    /// What can hurt somebody.
    pub cautions: Vec<Text>,
    /// What to do after the move, in order.
    pub after: Vec<Text>,
}

/// A note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema, JsonSchema)]
pub struct NoteView {
    /// Number of its entry.
    pub number: u32,
    /// When, RFC 3339.
    pub at: String,
    /// The text.
    pub text: String,
}
