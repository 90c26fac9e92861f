//! Which board is called, and when.

use tokio::time::sleep;

use super::seconds;
use super::world::{Outage, World};
use crate::link::ble::BleRefusal;
use crate::link::{LinkState, OpenError};

#[tokio::test(start_paused = true)]
async fn a_board_that_is_only_remembered_is_looked_for_and_holds_nobody_up() {
    let world = World::with(&["left", "right"]);
    let left = world.play("left");
    let right = world.play("C0:FF:EE:00:00:01");
    sleep(seconds(20)).await;
    assert_eq!(right.state(), LinkState::Live);
    world.begin(Outage::OutOfReach(0));
    sleep(seconds(60)).await;
    let calls = world.calls(0);
    assert_eq!(calls, 2, "once when it was found, once when it was lost");
    sleep(seconds(120)).await;
    assert_eq!(world.calls(0), calls);
    assert!(matches!(
        left.state(),
        LinkState::Refused(OpenError::Ble(BleRefusal::NotSeen { .. }))
    ));
    let about = left.status().about;
    assert_eq!((about.battery_percent, about.signal_dbm), (None, None));
    assert_eq!(about.model.as_deref(), Some("hub board"));
    // The other's way back waits at most for one look.
    world.begin(Outage::Dropped(1));
    world.end(Outage::Dropped(1));
    sleep(seconds(10)).await;
    assert_eq!(right.state(), LinkState::Live);
    world.end(Outage::OutOfReach(0));
    sleep(seconds(10)).await;
    assert_eq!(left.state(), LinkState::Live);
}

#[tokio::test(start_paused = true)]
async fn boards_of_one_name_have_to_be_named_by_their_addresses() {
    let world = World::with(&["hub", "hub"]);
    let by_name = world.play("hub");
    sleep(seconds(15)).await;
    let LinkState::Refused(OpenError::Ble(BleRefusal::Namesakes { addresses, .. })) =
        by_name.state()
    else {
        panic!("{:?}", by_name.state())
    };
    assert_eq!(addresses, ["C0:FF:EE:00:00:00", "C0:FF:EE:00:00:01"]);
    assert_eq!(world.calls(0) + world.calls(1), 0);
    by_name.stop();
    let by_address: Vec<_> = addresses
        .iter()
        .map(|address| world.play(address))
        .collect();
    sleep(seconds(15)).await;
    for played in by_address {
        assert_eq!(played.state(), LinkState::Live);
    }
}
