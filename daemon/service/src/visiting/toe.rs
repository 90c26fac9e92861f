//! What the visit at hand knows of the toe of the steered wheels, for the next swing.

use hubplumb_core::estimate::Estimate;
use hubplumb_core::side::Side;

use super::VisitDesk;
use crate::car::Corner;
use crate::levelling::{LevelHandle, LevelWish, ToeTold};
use crate::store::StoreFault;
use crate::visit::{Place, Quantity, Run, Visit};

/// Which toes are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Telling {
    /// Those that the visit says something of.
    Known,
    /// Both: what was told before may not hold any more.
    Both,
}

/// Tells the toe that the visit at hand knows: a swing counts its steer angles from it. That it
/// could not be told is logged, since whatever was asked for is done by then.
pub async fn tell(desk: &VisitDesk, level: &LevelHandle, telling: Telling) {
    let told = match standing(desk).await {
        Ok(told) => told,
        Err(fault) => {
            tracing::error!("{fault} {}", fault.remedy());
            return;
        }
    };
    for (side, told) in told {
        if telling == Telling::Known && told == ToeTold::default() {
            continue;
        }
        if let Err(error) = level.wish(LevelWish::Toe { side, told }).await {
            tracing::warn!(%error, "the next swing does not know the toe of the visit");
        }
    }
}

async fn standing(desk: &VisitDesk) -> Result<Vec<(Side, ToeTold)>, StoreFault> {
    let Some(at_hand) = *desk.at_hand().borrow() else {
        return Ok(Vec::new());
    };
    let entries = desk.run(move |store| store.entries(at_hand.id)).await?;
    Ok(Visit::of(&entries).map_or_else(Vec::new, |visit| {
        Side::BOTH.map(|side| (side, of(&visit, side))).to_vec()
    }))
}

/// Toe of a steered wheel as a visit knows it: the newest that holds, and whether anything was
/// adjusted at that wheel after it.
pub fn of(visit: &Visit<'_>, side: Side) -> ToeTold {
    let newest = visit
        .runs
        .iter()
        .rev()
        .find_map(|run| Some((run.number, toe(run.what, side)?)));
    let corner = match side {
        Side::Left => Corner::FrontLeft,
        Side::Right => Corner::FrontRight,
    };
    let since = newest.map_or(0, |(number, _)| number);
    ToeTold {
        measured: newest.map(|(_, toe)| toe),
        moved: visit
            .moves
            .iter()
            .any(|moved| moved.number > since && moved.what.corner == corner),
    }
}

/// Toe of a steered wheel among what was found. What only shows the way is not built upon.
fn toe(run: &Run, side: Side) -> Option<Estimate> {
    let place = match side {
        Side::Left => Place::FrontLeft,
        Side::Right => Place::FrontRight,
    };
    run.findings
        .iter()
        .rfind(|finding| {
            finding.quantity == Quantity::Toe && finding.place == place && finding.caveat.is_empty()
        })
        .map(|finding| Estimate::from_deg(finding.value, finding.standard))
}
