//! Bluetooth links on a radio made of memory, in paused time.

mod looking;
mod world;

use std::time::Duration;

use tokio::time::{Instant, sleep};

use super::BleRefusal;
use super::radio::RadioTrouble;
use crate::link::{LinkState, OpenError};
use world::{Outage, Played, World};

/// Longest way back to life after the last outage: the silence before a new
/// call, the wait before it, a call that hangs, a wait and a look more.
const BACK_WITHIN: Duration = Duration::from_secs(6 + 2 + 35 + 2 + 12);

fn seconds(count: u64) -> Duration {
    Duration::from_secs(count)
}

#[tokio::test(start_paused = true)]
async fn a_board_is_found_by_name_and_by_address_and_tells_of_itself() {
    let world = World::with(&["left", "right"]);
    let by_name = world.play("left");
    let by_address = world.play("C0:FF:EE:00:00:01");
    sleep(seconds(20)).await;
    for played in [&by_name, &by_address] {
        assert_eq!(played.state(), LinkState::Live);
        let about = played.status().about;
        assert_eq!(about.battery_percent, Some(64));
        assert_eq!(about.signal_dbm, Some(-61));
        assert_eq!(about.model.as_deref(), Some("hub board"));
    }
    assert_eq!(world.most_at_once(), 1, "one connects at a time");
}

/// After `outage` and its end the link has been in `wanted` and is live again.
async fn comes_back(outage: Outage, wanted: fn(&LinkState) -> bool) {
    let world = World::with(&["left"]);
    let played = world.play("left");
    sleep(seconds(15)).await;
    assert_eq!(played.state(), LinkState::Live);
    played.forget_states();
    world.begin(outage);
    sleep(seconds(50)).await;
    let seen = played.states();
    assert!(seen.iter().any(wanted), "{outage:?}: {seen:?}");
    world.end(outage);
    sleep(BACK_WITHIN).await;
    assert_eq!(played.state(), LinkState::Live, "{outage:?}");
}

fn refused_by(state: &LinkState, wanted: fn(&RadioTrouble) -> bool) -> bool {
    matches!(state, LinkState::Refused(OpenError::Ble(BleRefusal::Radio(trouble))) if wanted(trouble))
}

#[tokio::test(start_paused = true)]
async fn every_outage_is_told_for_what_it_is_and_survived() {
    comes_back(Outage::Dropped(0), |state| {
        matches!(
            state,
            LinkState::Refused(OpenError::Ble(BleRefusal::Ended { .. }))
        )
    })
    .await;
    comes_back(Outage::OutOfReach(0), |state| {
        matches!(
            state,
            LinkState::Refused(OpenError::Ble(BleRefusal::NotSeen { .. }))
        )
    })
    .await;
    comes_back(Outage::AdapterOff, |state| {
        refused_by(state, |trouble| *trouble == RadioTrouble::Off)
    })
    .await;
    comes_back(Outage::ServiceGone, |state| {
        refused_by(state, |trouble| {
            matches!(trouble, RadioTrouble::NoService { .. })
        })
    })
    .await;
    // The bus went away: nothing ends, and every call hangs.
    comes_back(Outage::BusLost, |state| {
        refused_by(state, |trouble| {
            matches!(trouble, RadioTrouble::TooLong { .. })
        })
    })
    .await;
    comes_back(Outage::Frozen(0), |state| *state == LinkState::Silent).await;
    comes_back(Outage::ConnectsFail, |state| *state == LinkState::Live).await;
}

#[tokio::test(start_paused = true)]
async fn without_a_characteristic_to_choose_the_ones_there_are_are_named() {
    let world = World::with(&["left"]);
    world.offer_two_of_its_own(0);
    let played = world.play("left");
    sleep(seconds(15)).await;
    let LinkState::Refused(OpenError::Ble(BleRefusal::NoCharacteristic { notifying, .. })) =
        played.state()
    else {
        panic!("{:?}", played.state())
    };
    assert_eq!(notifying.len(), 2);
    played.stop();
    // Told, it is taken.
    let told = world.play(&format!("left/{}", notifying[1]));
    sleep(seconds(15)).await;
    assert_eq!(told.state(), LinkState::Live);
}

#[tokio::test(start_paused = true)]
async fn a_stopped_link_lets_its_board_go() {
    let world = World::with(&["left"]);
    let played = world.play("left");
    sleep(seconds(15)).await;
    assert_eq!(world.connected(), 1);
    played.stop();
    sleep(seconds(1)).await;
    assert_eq!(world.connected(), 0);
}

/// Park and Miller's generator (16807, 2³¹ − 1).
fn next(state: &mut u64) -> u64 {
    *state = *state * 16_807 % 2_147_483_647;
    *state
}

#[tokio::test(start_paused = true)]
async fn half_an_hour_of_outages() {
    let seed = 20_261_125_u64;
    println!("seed {seed}");
    let mut chance = seed;
    let world = World::with(&["left", "right", "body"]);
    let played: Vec<Played> = ["left", "right", "body"]
        .map(|name| world.play(name))
        .into();
    sleep(seconds(30)).await;
    let began = Instant::now();
    let mut outages = 0;
    while began.elapsed() < seconds(1800) {
        let board = usize::try_from(next(&mut chance) % 3).unwrap();
        let outage = match next(&mut chance) % 7 {
            0 => Outage::Dropped(board),
            1 => Outage::OutOfReach(board),
            2 => Outage::AdapterOff,
            3 => Outage::ServiceGone,
            4 => Outage::BusLost,
            5 => Outage::Frozen(board),
            _ => Outage::ConnectsFail,
        };
        world.begin(outage);
        sleep(Duration::from_millis(next(&mut chance) % 30_000)).await;
        // Now and then a second one comes on top of the first.
        if next(&mut chance).is_multiple_of(3) {
            world.begin(Outage::Dropped(board));
            sleep(Duration::from_millis(next(&mut chance) % 5_000)).await;
            world.end(Outage::Dropped(board));
        }
        world.end(outage);
        outages += 1;
        let ended = Instant::now();
        // Three boards come back one after the other.
        while played
            .iter()
            .any(|played| played.state() != LinkState::Live)
        {
            assert!(
                ended.elapsed() <= 3 * BACK_WITHIN,
                "{outage:?} (the {outages}th): {:?}",
                played.iter().map(Played::state).collect::<Vec<_>>()
            );
            sleep(Duration::from_millis(100)).await;
        }
    }
    println!("{outages} outages");
    assert!(outages > 20, "{outages}");
    assert_eq!(world.most_at_once(), 1, "one connects at a time");
    assert_eq!(world.connected(), 3);
    for played in &played {
        assert!(played.status().good_frames > 1_000);
    }
}
