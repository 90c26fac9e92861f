//! Keeps what was found of floor and seats in the store, and offers it after the next start.

use std::sync::Arc;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;
use tokio::sync::Mutex;
use tokio::time::sleep;
use tokio_util::sync::CancellationToken;

use super::VisitDesk;
use crate::board::Boards;
use crate::clock::DaemonClock;
use crate::levelling::{Earlier, LevelHandle, LevelWish, Standing};
use crate::mount::Mount;
use crate::store::{Store, StoreFault};

/// What was found longer ago is not offered: the car has been driven since.
const OLDEST: time::Duration = time::Duration::hours(12);
/// Between two tries at a disk that refuses.
const AGAIN: Duration = Duration::from_secs(10);

/// As it stands in the store.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    /// RFC 3339, and the same by the daemon's clock, us.
    at: String,
    at_us: i64,
    standing: Standing,
}

/// Way to what is kept of floor and seats.
#[derive(Debug, Clone)]
pub struct StandingDesk {
    desk: VisitDesk,
    level: LevelHandle,
    boards: Boards,
    clock: DaemonClock,
    /// What the store has; none before it was looked at.
    kept: Arc<Mutex<Option<Standing>>>,
}

impl StandingDesk {
    /// A desk over what the store has.
    pub fn new(desk: VisitDesk, level: LevelHandle, boards: Boards, clock: DaemonClock) -> Self {
        Self {
            desk,
            level,
            boards,
            clock,
            kept: Arc::default(),
        }
    }

    /// Offers what is kept, then keeps what is found until `stop`.
    pub async fn run(self, stop: CancellationToken) {
        let mut seen = self.level.watch();
        loop {
            seen.borrow_and_update();
            let kept = self.keep().await;
            if let Err(fault) = &kept {
                tracing::warn!("floor and seats are not kept: {fault} {}", fault.meaning());
            }
            tokio::select! {
                () = stop.cancelled() => return,
                changed = seen.changed() => if changed.is_err() { return },
                () = sleep(AGAIN), if kept.is_err() => {}
            }
        }
    }

    /// Returns when the disk has what is known now. Without a store it does at once: the page says why
    /// nothing can be kept.
    pub async fn keep(&self) -> Result<(), StoreFault> {
        let Ok(store) = self.desk.store() else {
            return Ok(());
        };
        let mut kept = self.kept.lock().await;
        // Whoever asked may go away at every await: what stands here is true at each of them.
        let before = match &*kept {
            Some(before) => before.clone(),
            None => kept.insert(self.offer(store).await?).clone(),
        };
        // After the lock: whoever comes later must not be overwritten by what was known earlier.
        let now = Standing::of(&self.level.watch().borrow(), self.on_body());
        if now != before {
            write(store, &now, self.clock).await?;
            *kept = Some(now);
        }
        Ok(())
    }

    async fn offer(&self, store: &Store) -> Result<Standing, StoreFault> {
        let Some(earlier) = offered(store, self.clock).await? else {
            return Ok(Standing::default());
        };
        let standing = earlier.standing.clone();
        self.level
            .wish(LevelWish::Earlier(earlier))
            .await
            .map_err(|_| StoreFault::Stopping)?;
        Ok(standing)
    }

    fn on_body(&self) -> Option<String> {
        let boards = self.boards.borrow();
        let on_body = boards
            .iter()
            .find(|board| board.facts().mount == Some(Mount::Body))?;
        Some(on_body.facts().id.clone())
    }
}

/// What the store has, by the clock of this life; none of what is too old or cannot be read.
async fn offered(store: &Store, clock: DaemonClock) -> Result<Option<Earlier>, StoreFault> {
    let Some(text) = store.run(Store::standing).await? else {
        return Ok(None);
    };
    Ok(read(&text, OffsetDateTime::now_utc(), clock.now().us()))
}

fn read(text: &str, now: OffsetDateTime, now_us: i64) -> Option<Earlier> {
    let document: Document = match serde_json::from_str(text) {
        Ok(document) => document,
        Err(error) => {
            tracing::warn!(%error, "what was kept of floor and seats cannot be read");
            return None;
        }
    };
    let at = OffsetDateTime::parse(&document.at, &Rfc3339).ok()?;
    // A machine without a clock of its own may begin in the past.
    let ago = (now - at).max(time::Duration::ZERO);
    let ago_us = i64::try_from(ago.whole_microseconds()).ok()?;
    (ago <= OLDEST && !document.standing.is_empty()).then(|| Earlier {
        at: document.at,
        standing: document.standing.later_by(now_us - ago_us - document.at_us),
    })
}

async fn write(store: &Store, standing: &Standing, clock: DaemonClock) -> Result<(), StoreFault> {
    let document = (!standing.is_empty()).then(|| Document {
        at: super::now(),
        at_us: clock.now().us(),
        standing: standing.clone(),
    });
    // Numbers and names: nothing that could not be written.
    let text = document.and_then(|document| serde_json::to_string(&document).ok());
    store
        .run(move |store| store.keep_standing(text.as_deref()))
        .await
}

#[cfg(test)]
mod tests {
    use hubplumb_core::angle::Angle;
    use hubplumb_core::floor::FloorSlope;
    use hubplumb_core::mounting::BoardAxis;
    use tokio::sync::watch;

    use super::*;
    use crate::board::Inlets;
    use crate::config::SwingConfig;
    use crate::journal::Journal;
    use crate::levelling::{LevelBoards, LevelTask};

    const AT: &str = "2026-03-01T10:00:00Z";

    fn document(standing: &Standing) -> String {
        serde_json::to_string(&Document {
            at: AT.to_owned(),
            at_us: 40_000_000,
            standing: standing.clone(),
        })
        .unwrap()
    }

    fn heading() -> Standing {
        serde_json::from_str(r#"{"floor":null,"forward":["+x",0.01],"body":"b","wheels":{}}"#)
            .unwrap()
    }

    #[test]
    fn what_is_older_than_half_a_day_or_empty_is_not_offered() {
        let at = OffsetDateTime::parse(AT, &Rfc3339).unwrap();
        let hours = |hours: i64| at + time::Duration::hours(hours);
        for (standing, now, offered) in [
            (heading(), hours(0), true),
            (heading(), hours(11), true),
            (heading(), hours(13), false),
            // The machine began in the past.
            (heading(), hours(-100), true),
            (Standing::default(), hours(0), false),
        ] {
            let read = read(&document(&standing), now, 0);
            assert_eq!(read.is_some(), offered, "{standing:?} at {now}");
            assert_eq!(
                read.map(|earlier| earlier.at),
                offered.then(|| AT.to_owned())
            );
        }
        assert_eq!(read("{}", at, 0), None);
    }

    #[test]
    fn times_are_moved_to_the_new_clock() {
        let text = r#"{"floor":null,"forward":null,"body":null,"wheels":{"front_left":{
            "board":"a","outboard":[0,0,1],"covariance_rad2":[[0,0,0],[0,0,0],[0,0,0]],
            "outboard_by":"away_from_car","arc":1,"stops":4,"spins":0,"wobble_watched":true,"off_cone":0,
            "lean_there":0,"jacked":true,"off_declared":null,"evidence":[],"body":null,"at_us":30000000}}}"#;
        let standing: Standing = serde_json::from_str(text).unwrap();
        // Found ten seconds before it was written, read a minute later, two seconds into the new life.
        let now = OffsetDateTime::parse("2026-03-01T10:01:00Z", &Rfc3339).unwrap();
        let earlier = read(&document(&standing), now, 2_000_000).unwrap();
        assert_eq!(
            earlier.standing,
            standing.later_by(2_000_000 - 60_000_000 - 40_000_000)
        );
    }

    /// Whoever is answered finds it after a kill in the same moment.
    #[tokio::test]
    async fn when_it_returns_the_store_has_it_and_it_is_offered_once() {
        let store = Store::in_memory().unwrap();
        let clock = DaemonClock::starting_now();
        write(&store, &heading(), clock).await.unwrap();
        let boards = watch::channel(Vec::new()).1;
        let given = LevelBoards {
            boards: boards.clone(),
            floor: FloorSlope::presumed_level(Angle::from_deg(0.1)),
            config: SwingConfig::default(),
            clock,
            journal: Journal::off(),
        };
        let (task, level) = LevelTask::new(given, Inlets::default().level);
        let stop = CancellationToken::new();
        tokio::spawn(task.run(stop.clone()));
        let visits = VisitDesk::new(Ok(store.clone()));
        let desk = StandingDesk::new(visits, level.clone(), boards, clock);
        desk.keep().await.unwrap();
        let offered_now = || level.watch().borrow().earlier.is_some();
        assert!(offered_now());
        assert_eq!(
            offered(&store, clock).await.unwrap().unwrap().standing,
            heading()
        );
        level.wish(LevelWish::LeaveEarlier).await.unwrap();
        desk.keep().await.unwrap();
        assert_eq!(offered(&store, clock).await.unwrap(), None);
        let forward = Some((BoardAxis::YPlus, Angle::from_deg(1.0)));
        level.wish(LevelWish::Forward(forward)).await.unwrap();
        desk.keep().await.unwrap();
        assert!(
            offered(&store, clock)
                .await
                .unwrap()
                .unwrap()
                .standing
                .has_forward()
        );
        assert!(!offered_now());
        stop.cancel();
    }

    #[tokio::test]
    async fn what_is_written_is_read_again_and_nothing_where_there_is_nothing() {
        let store = Store::in_memory().unwrap();
        let clock = DaemonClock::starting_now();
        write(&store, &heading(), clock).await.unwrap();
        let earlier = offered(&store, clock).await.unwrap().unwrap();
        assert_eq!(earlier.standing, heading());
        write(&store, &Standing::default(), clock).await.unwrap();
        assert_eq!(offered(&store, clock).await.unwrap(), None);
    }
}
