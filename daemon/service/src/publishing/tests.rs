//! The connection, against a broker of memory and with time that is told. What a real broker
//! makes of it is tried end to end.

mod bench;

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use mqtt_protocol_core::mqtt::result_code::{ConnectReasonCode, PubackReasonCode};
use tokio::io::AsyncWriteExt as _;
use tokio::time::sleep;

use super::Link;
use super::document::{LiveAngle, LiveQuantity, LiveReading};
use super::keep::ReadLive;
use super::lost::Lost;
use super::outbox::MOST_WAITING;
use crate::visit::Place;
use bench::{Arrived, Call, finding, keep, reached};

#[tokio::test(start_paused = true)]
async fn a_broker_that_is_away_is_called_more_and_more_seldom() {
    let kept = keep(Vec::new(), None);
    sleep(Duration::from_secs(250)).await;
    let made = kept.made.lock().unwrap().clone();
    let waits: Vec<u64> = made
        .windows(2)
        .map(|pair| pair[1].duration_since(pair[0]).as_secs())
        .collect();
    assert_eq!(waits, [1, 2, 4, 8, 16, 32, 60, 60, 60]);
    assert_eq!(*kept.link.borrow(), Link::Down(Lost::Refused));
    kept.stop.cancel();
    kept.task.await.unwrap();
}

#[tokio::test(start_paused = true)]
async fn a_call_that_nobody_answers_ends_by_itself() {
    let (silent, _kept_open) = reached();
    let kept = keep(vec![Call::Never, silent, Call::Never], None);
    sleep(Duration::from_millis(10_500)).await;
    assert_eq!(*kept.link.borrow(), Link::Down(Lost::NoAnswer));
    // The second is taken and never greeted.
    sleep(Duration::from_secs(11)).await;
    assert_eq!(kept.made.lock().unwrap().len(), 2);
    kept.stop.cancel();
    sleep(Duration::from_secs(2)).await;
    assert!(kept.task.is_finished());
}

#[tokio::test(start_paused = true)]
async fn the_first_word_has_a_last_will_and_the_last_word_is_goodbye() {
    let (call, mut broker) = reached();
    let kept = keep(vec![call], None);
    broker.take().await;
    let connect = broker.connect.take().unwrap();
    assert_eq!(connect.will_topic(), Some("garage/availability"));
    assert_eq!(connect.will_payload(), Some(b"offline".as_slice()));
    assert!(connect.will_retain() && connect.clean_start());
    assert_eq!(connect.user_name(), Some("user"));
    assert_eq!(connect.password(), Some(b"secret".as_slice()));
    assert_eq!(*kept.link.borrow(), Link::Up { untaken: None });
    assert_eq!(broker.told(), ["garage/availability online"]);
    broker.has_all().await;

    kept.stop.cancel();
    broker.listen(Duration::from_millis(10)).await;
    assert_eq!(broker.told(), ["garage/availability offline"]);
    assert!(broker.left, "it went without a word");
    kept.task.await.unwrap();
}

#[tokio::test(start_paused = true)]
async fn findings_of_an_outage_come_after_it_and_all_of_them() {
    let (first, mut broker) = reached();
    let (second, mut later) = reached();
    let calls = vec![Call::Lost(Lost::Refused), first, second];
    let kept = keep(calls, None);
    kept.outbox.put(finding("a", "1"), None);
    kept.outbox.put(finding("a", "2"), None);
    sleep(Duration::from_millis(1100)).await;
    broker.take().await;
    let told = [
        "garage/availability online",
        "garage/finding/a 1",
        "garage/finding/a 2",
    ];
    assert_eq!(broker.told(), told);
    // The broker has the first of them only when it breaks off.
    let numbers = broker.numbers.clone();
    broker
        .acknowledge(numbers[1], PubackReasonCode::Success)
        .await;
    broker.listen(Duration::from_millis(10)).await;
    drop(broker);
    sleep(Duration::from_millis(10)).await;
    assert_eq!(*kept.link.borrow(), Link::Down(Lost::BrokeOff));
    kept.outbox.put(finding("b", "3"), None);

    sleep(Duration::from_millis(2100)).await;
    later.take().await;
    let told = [
        "garage/availability online",
        "garage/finding/a 2",
        "garage/finding/b 3",
    ];
    assert_eq!(later.told(), told);
    later.has_all().await;
    assert_eq!(kept.outbox.counts(), (0, 0));
    kept.stop.cancel();
}

#[tokio::test(start_paused = true)]
async fn no_more_is_under_way_than_the_broker_acknowledges() {
    let (call, mut broker) = reached();
    let kept = keep(vec![call], None);
    for number in 0..100 {
        kept.outbox.put(finding("a", &number.to_string()), None);
    }
    broker.take().await;
    broker.listen(Duration::from_secs(5)).await;
    assert_eq!(broker.told().len(), 1 + 16);
    for _ in 0..20 {
        broker.has_all().await;
    }
    let told = broker.told();
    assert_eq!(told.len(), 100 - 16);
    assert_eq!(told.last().unwrap(), "garage/finding/a 99");
    kept.stop.cancel();
}

#[tokio::test(start_paused = true)]
async fn what_the_broker_refuses_is_told_and_not_sent_for_ever() {
    let (call, mut broker) = reached();
    let kept = keep(vec![call], None);
    broker.take().await;
    broker.has_all().await;
    kept.outbox.put(finding("a", "1"), None);
    broker.listen(Duration::from_millis(10)).await;
    let number = broker.numbers[0];
    broker
        .acknowledge(number, PubackReasonCode::NotAuthorized)
        .await;
    sleep(Duration::from_millis(10)).await;
    let untaken = Some(("finding/a".to_owned(), Some(0x87)));
    assert_eq!(*kept.link.borrow(), Link::Up { untaken });
    assert_eq!(kept.outbox.counts(), (0, 0));
    kept.stop.cancel();
}

#[tokio::test(start_paused = true)]
async fn why_the_broker_does_not_take_it_is_told() {
    for (reason, lost) in [
        (
            ConnectReasonCode::NotAuthorized,
            Lost::NotLetIn { code: 0x87 },
        ),
        (
            ConnectReasonCode::BadUserNameOrPassword,
            Lost::NotLetIn { code: 0x86 },
        ),
        (
            ConnectReasonCode::RetainNotSupported,
            Lost::NotTaken { code: 0x9A },
        ),
    ] {
        let (call, mut broker) = reached();
        let kept = keep(vec![call], None);
        broker.listen(Duration::from_millis(10)).await;
        broker.answer(reason).await;
        sleep(Duration::from_millis(10)).await;
        assert_eq!(*kept.link.borrow(), Link::Down(lost));
        kept.stop.cancel();
    }
    let (call, mut broker) = reached();
    let kept = keep(vec![call], None);
    broker.listen(Duration::from_millis(10)).await;
    let page = format!(
        "HTTP/1.1 400 Bad Request\r\n\r\n{}",
        "no broker ".repeat(20)
    );
    broker.stream.write_all(page.as_bytes()).await.unwrap();
    sleep(Duration::from_millis(10)).await;
    let link = kept.link.borrow().clone();
    assert!(
        matches!(link, Link::Down(Lost::NotUnderstood { .. })),
        "{link:?}"
    );
    kept.stop.cancel();
}

#[tokio::test(start_paused = true)]
async fn a_broker_that_falls_silent_is_noticed() {
    let (call, mut broker) = reached();
    let kept = keep(vec![call], None);
    broker.take().await;
    broker.has_all().await;
    // It is asked after fifteen seconds and has ten to answer.
    broker.listen(Duration::from_secs(24)).await;
    assert!(kept.link.borrow().is_up());
    broker.listen(Duration::from_millis(1500)).await;
    assert_eq!(*kept.link.borrow(), Link::Down(Lost::Silent));
    kept.stop.cancel();
}

fn changing() -> (ReadLive, Arc<AtomicUsize>) {
    let looks = Arc::new(AtomicUsize::new(0));
    let counted = looks.clone();
    let read: ReadLive = Box::new(move || {
        let number = counted.fetch_add(1, Ordering::Relaxed);
        vec![LiveReading {
            place: Place::FrontLeft,
            quantity: LiveQuantity::Camber,
            angle: Ok(LiveAngle {
                value_deg: number as f64,
                standard_deg: 0.02,
                expanded_deg: 0.04,
                age_us: 0,
            }),
        }]
    });
    (read, looks)
}

#[tokio::test(start_paused = true)]
async fn live_angles_keep_their_pace_end_by_themselves_and_are_never_replayed() {
    let (call, mut broker) = reached();
    let (read, looks) = changing();
    let calls = (0..6).map(|_| Call::Lost(Lost::Refused)).chain([call]);
    let kept = keep(calls.collect(), Some(read));
    sleep(Duration::from_millis(62_900)).await;
    assert_eq!(looks.load(Ordering::Relaxed), 0, "nobody looks for nobody");
    sleep(Duration::from_millis(200)).await;
    broker.take().await;
    broker.listen(Duration::from_millis(4980)).await;
    let live: Vec<Arrived> = broker.arrived.iter().skip(1).cloned().collect();
    assert_eq!(live.len(), 5, "{live:?}");
    for (number, (topic, document, quality, expiry)) in live.iter().enumerate() {
        assert_eq!(topic, "garage/live/front_left/camber");
        assert_eq!((*quality, *expiry), (0, Some(10)));
        let document: serde_json::Value = serde_json::from_str(document).unwrap();
        assert_eq!(document["value"], number as f64);
    }
    kept.stop.cancel();
}

#[tokio::test(start_paused = true)]
async fn a_broker_that_takes_nothing_costs_no_memory_and_is_given_up() {
    let (call, mut broker) = reached();
    let (read, looks) = changing();
    let kept = keep(vec![call], Some(read));
    broker.take().await;
    broker.has_all().await;
    let before = looks.load(Ordering::Relaxed);
    // From now on nobody reads: the pipe takes 4 kB, and findings come faster than that.
    for _ in 0..2 * MOST_WAITING {
        kept.outbox.put(finding("a", &"x".repeat(300)), None);
    }
    sleep(Duration::from_secs(9)).await;
    let (waiting, given_up) = kept.outbox.counts();
    assert_eq!(waiting, MOST_WAITING);
    assert!(given_up >= MOST_WAITING as u64 - 16, "{given_up}");
    assert!(
        looks.load(Ordering::Relaxed) <= before + 2,
        "live angles are not heaped up"
    );
    sleep(Duration::from_secs(2)).await;
    assert_eq!(*kept.link.borrow(), Link::Down(Lost::Stuck));
    kept.stop.cancel();
}
