use std::time::Duration;

use tokio_util::sync::CancellationToken;

use super::*;
use crate::store::Store;
use crate::visit::{FindingRecord, Place, Procedure, Quantity};

fn run(place: Place, toe_deg: f64) -> Entry {
    Entry::Run(Box::new(Run {
        procedure: Procedure::ToeStrings,
        stage: Stage::Before,
        method: "by strings".to_owned(),
        evidence: serde_json::Value::Null,
        findings: vec![FindingRecord {
            quantity: Quantity::Toe,
            place,
            value: toe_deg,
            standard: 0.05,
            degrees_of_freedom: None,
            budget: Vec::new(),
            advice: String::new(),
            caveat: String::new(),
        }],
        covariance: Vec::new(),
        boards: Vec::new(),
        software: "0.0.0".to_owned(),
    }))
}

struct Bench {
    desk: VisitDesk,
    outbox: Arc<Outbox>,
    stop: CancellationToken,
    task: tokio::task::JoinHandle<()>,
    _held: (watch::Sender<SwingSnapshot>, watch::Sender<CheckSnapshot>),
}

fn begin(desk: &VisitDesk) -> Bench {
    let (swing, seen_swing) = watch::channel(SwingSnapshot::default());
    let (check, seen_check) = watch::channel(CheckSnapshot::default());
    let outbox = Arc::new(Outbox::default());
    let gatherer = Gatherer {
        desk: desk.clone(),
        swing: seen_swing,
        check: seen_check,
        outbox: outbox.clone(),
        life: "life".to_owned(),
    };
    let stop = CancellationToken::new();
    let task = tokio::spawn(gatherer.run(stop.clone()));
    Bench {
        desk: desk.clone(),
        outbox,
        stop,
        task,
        _held: (swing, check),
    }
}

impl Bench {
    /// Adds an entry, after which so many letters wait.
    async fn add(&self, visit: i64, what: Entry, waiting: usize) -> u32 {
        let number = self.desk.add(visit, None, what, Vec::new()).await.unwrap();
        self.waits(waiting).await;
        number
    }

    /// Until so many letters wait, and no more of them come.
    async fn waits(&self, waiting: usize) {
        until(async || self.outbox.counts().0 == waiting).await;
        tokio::time::sleep(Duration::from_millis(50)).await;
        assert_eq!(self.outbox.counts().0, waiting);
    }

    async fn end(self) {
        self.stop.cancel();
        self.task.await.unwrap();
    }

    /// Topic, value and entry of all that would be sent now.
    fn sent(&self) -> Vec<(String, Option<f64>, Option<u64>)> {
        let mut number = 0;
        let mut sent = Vec::new();
        while let Some((letter, number)) = self.outbox.next(|| {
            number += 1;
            Some(number)
        }) {
            let document: serde_json::Value =
                serde_json::from_slice(&letter.document).unwrap_or_default();
            sent.push((
                letter.topic,
                document["value"].as_f64(),
                document["entry"].as_u64(),
            ));
            self.outbox.settle(number);
        }
        sent
    }
}

/// However busy the machine is: the store writes through to the disk.
async fn until(there: impl AsyncFn() -> bool) {
    for _ in 0..4000 {
        if there().await {
            return;
        }
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    panic!("not within 20 s");
}

async fn desk_with_visit(folder: &std::path::Path) -> (VisitDesk, i64) {
    let store = Store::open(&folder.join(Store::FILE)).unwrap();
    let desk = VisitDesk::new(Ok(store));
    let visit = open_visit(&desk, "Wicket").await;
    (desk, visit)
}

async fn open_visit(desk: &VisitDesk, name: &str) -> i64 {
    let car = CarRecord {
        name: name.to_owned(),
        ..CarRecord::default()
    };
    desk.run(move |store| {
        let car = store.add_car(&car, "2026-05-01T10:00:00Z")?;
        store.begin_visit(car, "0.0.0", "2026-05-01T10:00:00Z")
    })
    .await
    .unwrap()
}

const LEFT: &str = "finding/front_left/toe";
const RIGHT: &str = "finding/front_right/toe";

fn at(topic: &str, value: f64, entry: u64) -> (String, Option<f64>, Option<u64>) {
    (topic.to_owned(), Some(value), Some(entry))
}

#[tokio::test]
async fn entries_of_the_visit_go_out_and_what_is_taken_back_is_taken_away() {
    let folder = tempfile::tempdir().unwrap();
    let (desk, visit) = desk_with_visit(folder.path()).await;
    let bench = begin(&desk);
    bench.add(visit, run(Place::FrontLeft, 0.10), 1).await;
    bench.add(visit, run(Place::FrontLeft, 0.20), 2).await;
    let right = bench.add(visit, run(Place::FrontRight, 0.30), 3).await;
    let expected = [at(LEFT, 0.10, 2), at(LEFT, 0.20, 3), at(RIGHT, 0.30, 4)];
    assert_eq!(bench.sent(), expected);

    let back = |number| Entry::TakenBack {
        number,
        why: String::new(),
    };
    bench.add(visit, back(3), 1).await;
    assert_eq!(bench.sent(), [at(LEFT, 0.10, 2)]);
    bench.add(visit, back(right), 1).await;
    assert_eq!(bench.sent(), [(RIGHT.to_owned(), None, None)]);
    bench.end().await;
}

#[tokio::test]
async fn after_a_start_in_the_middle_of_a_visit_nothing_of_it_is_missing() {
    let folder = tempfile::tempdir().unwrap();
    let (desk, visit) = desk_with_visit(folder.path()).await;
    for (place, toe_deg) in [
        (Place::FrontLeft, 0.1),
        (Place::FrontLeft, 0.2),
        (Place::FrontRight, 0.3),
    ] {
        desk.add(visit, None, run(place, toe_deg), Vec::new())
            .await
            .unwrap();
    }
    let bench = begin(&desk);
    bench.waits(2).await;
    // Of each the newest.
    assert_eq!(bench.sent(), [at(LEFT, 0.2, 3), at(RIGHT, 0.3, 4)]);

    // The next car: what stands is not of it.
    let next = open_visit(&desk, "Bracket").await;
    bench.waits(2).await;
    let gone = |topic: &str| (topic.to_owned(), None, None);
    assert_eq!(bench.sent(), [gone(LEFT), gone(RIGHT)]);
    bench.add(next, run(Place::FrontLeft, 0.5), 1).await;
    assert_eq!(bench.sent(), [at(LEFT, 0.5, 2)]);
    bench.end().await;
}

#[tokio::test]
async fn what_the_broker_does_not_have_is_kept_until_it_does() {
    let folder = tempfile::tempdir().unwrap();
    let (desk, visit) = desk_with_visit(folder.path()).await;
    let kept = async |letters: usize| {
        let unsent = desk.run(Store::unsent).await.unwrap();
        unsent.len() == letters
    };
    let bench = begin(&desk);
    bench.add(visit, run(Place::FrontLeft, 0.1), 1).await;
    bench.add(visit, run(Place::FrontLeft, 0.2), 2).await;
    until(async || kept(2).await).await;
    // The daemon ends before the broker comes, and another visit is at hand when it starts anew.
    bench.end().await;
    let next = open_visit(&desk, "Bracket").await;
    let bench = begin(&desk);
    bench.waits(3).await;
    let gone = (LEFT.to_owned(), None, None);
    assert_eq!(bench.sent(), [at(LEFT, 0.1, 2), at(LEFT, 0.2, 3), gone]);
    until(async || kept(0).await).await;
    // The same visit is at hand: nothing is said twice.
    bench.add(next, run(Place::FrontRight, 0.3), 1).await;
    until(async || kept(1).await).await;
    bench.end().await;
    let bench = begin(&desk);
    bench.waits(1).await;
    assert_eq!(bench.sent(), [at(RIGHT, 0.3, 2)]);
    bench.end().await;
}
