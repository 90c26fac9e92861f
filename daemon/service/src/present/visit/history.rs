//! A car over its visits, for the page and for the sheet alike.

use super::view::visit_of;
use crate::http::history_views::{CarHistoryView, PastFigureView, PastFindingView, PastVisitView};
use crate::http::visit_views::{VisitFindingView, VisitView};
use crate::store::{Store, StoreFault};
use crate::visit::{Place, Quantity, Stage};

/// Most visits of a car that are told: more do not fit side by side.
const MOST_PAST: usize = 12;

/// A car over its visits.
pub fn car_history(store: &Store, id: i64) -> Result<CarHistoryView, StoreFault> {
    let car = store.car(id)?;
    let all = store.visits(Some(id))?.len();
    let visits = past_visits(store, id, None)?;
    Ok(CarHistoryView {
        car_id: id,
        car: car.record.name,
        older: all - visits.len(),
        visits,
    })
}

/// The newest visits of a car, the oldest of them first; `among` is one of them, whatever
/// its age.
pub fn past_visits(
    store: &Store,
    car: i64,
    among: Option<&VisitView>,
) -> Result<Vec<PastVisitView>, StoreFault> {
    let mut past: Vec<PastVisitView> = among.map(past_visit).into_iter().collect();
    for row in store.visits(Some(car))? {
        if among.is_none_or(|visit| visit.id != row.id) && past.len() < MOST_PAST {
            past.push(past_visit(&visit_of(store, row.id)?));
        }
    }
    past.sort_by(|a, b| (&a.began_at, a.id).cmp(&(&b.began_at, b.id)));
    Ok(past)
}

/// Of each quantity and place what was found last before anything was adjusted, and last
/// after that.
pub fn past_visit(visit: &VisitView) -> PastVisitView {
    let mut findings: Vec<&VisitFindingView> = visit.findings.iter().collect();
    let order = |stage: Stage| Stage::ALL.iter().position(|known| *known == stage);
    findings.sort_by_key(|finding| (order(finding.stage), finding.number));
    let mut told: Vec<PastFindingView> = Vec::new();
    for found in findings {
        let place = told
            .iter()
            .position(|known| (known.quantity, known.place) == (found.quantity, found.place));
        let place = place.unwrap_or_else(|| {
            told.push(PastFindingView {
                quantity: found.quantity,
                name: found.name.clone(),
                place: found.place,
                place_words: found.place_words.clone(),
                unit: found.unit,
                before: None,
                after: None,
            });
            told.len() - 1
        });
        let figure = Some(PastFigureView {
            value: found.value,
            expanded: found.expanded,
            sense: found.sense.clone(),
            limits: found.limits,
            verdict: found.verdict.as_ref().map(|verdict| verdict.verdict),
        });
        match found.stage {
            Stage::Preparing | Stage::Before => told[place].before = figure,
            Stage::Adjusting | Stage::After | Stage::Closed => told[place].after = figure,
        }
    }
    // The order of a sheet is that of the quantities, then of the places.
    let rank = |quantity: Quantity, place: Place| {
        (
            Quantity::ALL.iter().position(|known| *known == quantity),
            Place::ALL.iter().position(|known| *known == place),
        )
    };
    told.sort_by_key(|finding| rank(finding.quantity, finding.place));
    PastVisitView {
        id: visit.id,
        began_at: visit.began_at.clone(),
        stage: visit.stage,
        findings: told,
    }
}

impl PastVisitView {
    /// What stood of a quantity at a place when the car left.
    pub fn left(&self, quantity: Quantity, place: Place) -> Option<&PastFigureView> {
        let finding = self
            .findings
            .iter()
            .find(|finding| (finding.quantity, finding.place) == (quantity, place))?;
        finding.after.as_ref().or(finding.before.as_ref())
    }
}
