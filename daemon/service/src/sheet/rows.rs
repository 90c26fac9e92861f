//! Which findings stand in which row.

use crate::http::visit_views::{VisitFindingView, VisitView};
use crate::visit::{Place, Quantity, Stage};

/// A quantity at a place, before and after.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'a> {
    pub(super) quantity: Quantity,
    pub(super) place: Place,
    pub(super) before: Option<&'a VisitFindingView>,
    pub(super) after: Option<&'a VisitFindingView>,
}

/// What every sheet has a row for, measured or not.
const ALWAYS: [(Quantity, &[Place]); 5] = [
    (
        Quantity::Camber,
        &[
            Place::FrontLeft,
            Place::FrontRight,
            Place::RearLeft,
            Place::RearRight,
        ],
    ),
    (Quantity::Caster, &[Place::FrontLeft, Place::FrontRight]),
    (Quantity::Sai, &[Place::FrontLeft, Place::FrontRight]),
    (Quantity::TotalToe, &[Place::Front, Place::Rear]),
    (Quantity::Thrust, &[Place::Car]),
];

impl<'a> Row<'a> {
    /// What stands last.
    pub(super) fn newest(&self) -> Option<&'a VisitFindingView> {
        self.after.or(self.before)
    }
}

/// The rows of a visit, in the order of a sheet.
pub(super) fn rows(visit: &VisitView) -> Vec<Row<'_>> {
    let find = |stage, quantity, place| {
        visit
            .findings
            .iter()
            .rfind(|f| f.stage == stage && f.quantity == quantity && f.place == place)
    };
    Quantity::ALL
        .into_iter()
        .flat_map(|quantity| Place::ALL.into_iter().map(move |place| (quantity, place)))
        .filter_map(|(quantity, place)| {
            let row = Row {
                quantity,
                place,
                // What was measured while preparing is the car as it came, too.
                before: find(Stage::Before, quantity, place)
                    .or_else(|| find(Stage::Preparing, quantity, place)),
                after: find(Stage::After, quantity, place)
                    .or_else(|| find(Stage::Closed, quantity, place)),
            };
            (row.newest().is_some() || is_always(quantity, place)).then_some(row)
        })
        .collect()
}

fn is_always(quantity: Quantity, place: Place) -> bool {
    ALWAYS
        .iter()
        .any(|(wanted, places)| *wanted == quantity && places.contains(&place))
}

/// Findings that no row shows, e.g. those made while adjusting.
pub(super) fn between(visit: &VisitView) -> Vec<&VisitFindingView> {
    let shown = rows(visit);
    let is_shown = |finding: &VisitFindingView| {
        shown.iter().any(|row| {
            [row.before, row.after]
                .into_iter()
                .flatten()
                .any(|there| std::ptr::eq(there, finding))
        })
    };
    visit.findings.iter().filter(|f| !is_shown(f)).collect()
}
