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
    tokio::spawn(gatherer.run(stop.clone()));
    Bench {
        desk: desk.clone(),
        outbox,
        stop,
        _held: (swing, check),
    }
}

impl Bench {
    async fn add(&self, visit: i64, what: Entry) -> u32 {
        let number = self.desk.add(visit, None, what, Vec::new()).await.unwrap();
        self.settled().await;
        number
    }

    /// Until nothing comes any more.
    async fn settled(&self) {
        for _ in 0..50 {
            tokio::time::sleep(std::time::Duration::from_millis(4)).await;
        }
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
    bench.add(visit, run(Place::FrontLeft, 0.10)).await;
    bench.add(visit, run(Place::FrontLeft, 0.20)).await;
    let right = bench.add(visit, run(Place::FrontRight, 0.30)).await;
    let expected = [at(LEFT, 0.10, 2), at(LEFT, 0.20, 3), at(RIGHT, 0.30, 4)];
    assert_eq!(bench.sent(), expected);

    let back = |number| Entry::TakenBack {
        number,
        why: String::new(),
    };
    bench.add(visit, back(3)).await;
    assert_eq!(bench.sent(), [at(LEFT, 0.10, 2)]);
    bench.add(visit, back(right)).await;
    assert_eq!(bench.sent(), [(RIGHT.to_owned(), None, None)]);
    bench.stop.cancel();
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
    bench.settled().await;
    // Of each the newest.
    assert_eq!(bench.sent(), [at(LEFT, 0.2, 3), at(RIGHT, 0.3, 4)]);

    // The next car: what stands is not of it.
    let next = open_visit(&desk, "Bracket").await;
    bench.settled().await;
    let gone = |topic: &str| (topic.to_owned(), None, None);
    assert_eq!(bench.sent(), [gone(LEFT), gone(RIGHT)]);
    bench.add(next, run(Place::FrontLeft, 0.5)).await;
    assert_eq!(bench.sent(), [at(LEFT, 0.5, 2)]);
    bench.stop.cancel();
}

#[tokio::test]
async fn what_the_broker_does_not_have_is_kept_until_it_does() {
    let folder = tempfile::tempdir().unwrap();
    let (desk, visit) = desk_with_visit(folder.path()).await;
    let kept = async || {
        let unsent = desk.run(Store::unsent).await.unwrap();
        unsent.len()
    };
    let bench = begin(&desk);
    bench.add(visit, run(Place::FrontLeft, 0.1)).await;
    bench.add(visit, run(Place::FrontLeft, 0.2)).await;
    assert_eq!(kept().await, 2);
    // The daemon ends before the broker comes, and another visit is at hand when it starts anew.
    bench.stop.cancel();
    bench.settled().await;
    let next = open_visit(&desk, "Bracket").await;
    let bench = begin(&desk);
    bench.settled().await;
    let gone = (LEFT.to_owned(), None, None);
    assert_eq!(bench.sent(), [at(LEFT, 0.1, 2), at(LEFT, 0.2, 3), gone]);
    bench.settled().await;
    assert_eq!(kept().await, 0);
    // The same visit is at hand: nothing is said twice.
    bench.add(next, run(Place::FrontRight, 0.3)).await;
    bench.stop.cancel();
    bench.settled().await;
    let bench = begin(&desk);
    bench.settled().await;
    assert_eq!(bench.sent(), [at(RIGHT, 0.3, 2)]);
    bench.stop.cancel();
}
