//! Faults on real wires: a pseudo-terminal on the left, datagrams on the right; and on Bluetooth.

use std::thread;
use std::time::Duration;

use hubplumb_protocol::WireFormat;
use hubplumb_sim::{Fault, FaultKind, FaultPlan, LinkKind, LinkSpec, Mount, Scenario};
use hubplumb_tests::Garage;
use hubplumb_tests::garage::told_all;
use serde_json::Value;

use crate::bluetooth::can;

const LEFT: Mount = Mount::FrontLeft;
const RIGHT: Mount = Mount::FrontRight;
/// By then everything is live; s of the simulation.
const BEGINS_S: f64 = 30.0;
/// Boards on Bluetooth have to be seen first, s of the simulation.
const AIR_BEGINS_S: f64 = 40.0;
const SOON: Duration = Duration::from_secs(40);

fn camber(state: &Value, mount: Mount) -> &Value {
    let wheels = state["wheels"].as_array().expect("wheels");
    let is = |wheel: &&Value| wheel["mount"] == mount.name();
    &wheels.iter().find(is).expect("a wheel")["camber"]
}

#[test]
fn after_each_fault_on_a_real_wire_there_is_a_value_again_within_two_seconds() {
    let faults: Vec<Fault> = [
        (LEFT, FaultKind::Unplug, 0.0, 1.5),
        (RIGHT, FaultKind::Twin { of: LEFT }, 0.0, 1.5),
        (LEFT, FaultKind::Corrupt { share: 0.6 }, 4.0, 5.5),
        (RIGHT, FaultKind::Mute, 4.0, 5.5),
        (LEFT, FaultKind::Stall, 8.0, 9.5),
        (RIGHT, FaultKind::StuckAxis { axis: 1 }, 8.0, 9.5),
        (LEFT, FaultKind::Reset, 12.0, 13.5),
        (RIGHT, FaultKind::Drop { share: 0.9 }, 12.0, 13.5),
    ]
    .into_iter()
    .map(|(mount, kind, from_s, to_s)| Fault {
        mount,
        kind,
        from_s: BEGINS_S + from_s,
        to_s: BEGINS_S + to_s,
    })
    .collect();
    let json = WireFormat::from_name("json-lines", None).expect("a format");
    let scenario = Scenario::shipped("garage-good")
        .expect("shipped")
        .with_wire(RIGHT, &json, LinkSpec::of(LinkKind::Udp))
        .with_faults(FaultPlan::new(faults.clone()));
    let garage = Garage::open(scenario, &|board| {
        if board.mount == LEFT {
            told_all(board)
        } else {
            // Datagrams have no speed.
            "format = \"json-lines\"\n".to_owned()
        }
    });
    assert!(garage.sim.now_s() < BEGINS_S, "the boards came up late");
    for pair in faults.chunks(2) {
        // More than a second into it, what cannot be known is not shown.
        wait_until(&garage, pair[0].from_s + 1.35);
        let during = garage.daemon.state();
        for fault in pair {
            let some_arrive = matches!(
                fault.kind,
                FaultKind::Corrupt { .. } | FaultKind::Drop { .. }
            );
            let shown = camber(&during, fault.mount);
            assert!(
                some_arrive || shown["value_deg"].is_null(),
                "{fault}: {shown:#}"
            );
        }
        wait_until(&garage, pair[0].to_s + 2.0);
        for fault in pair {
            is_right(&garage, fault.mount, &fault.to_string());
        }
    }
}

/// The camber of a wheel is shown now, and is true.
#[track_caller]
fn is_right(garage: &Garage, mount: Mount, after: &str) {
    let truth = garage.sim.truth();
    let wheel = mount.wheel().and_then(|wheel| truth.wheel(wheel));
    let true_deg = wheel.expect("a wheel").camber_deg;
    let state = garage.daemon.state();
    let shown = camber(&state, mount);
    let value_deg = shown["value_deg"].as_f64();
    let value_deg = value_deg.unwrap_or_else(|| panic!("after {after}: {shown:#}"));
    let expanded_deg = shown["expanded_deg"].as_f64().expect("a number");
    let off_deg = (value_deg - true_deg).abs();
    assert!(
        off_deg < 2.0 * expanded_deg,
        "after {after}: {off_deg}° off, {shown:#}"
    );
}

/// Notifications that are lost, changed and late, and a board whose link drops or that loses its
/// power, through the real library on a bus of its own.
#[test]
fn after_each_fault_on_bluetooth_there_is_a_true_value_again() {
    if !can("faults on Bluetooth") {
        return;
    }
    let faults: Vec<Fault> = [
        (LEFT, FaultKind::Corrupt { share: 0.5 }, 0.0, 2.0),
        (RIGHT, FaultKind::Drop { share: 0.9 }, 0.0, 2.0),
        (LEFT, FaultKind::Stall, 5.0, 6.5),
        (RIGHT, FaultKind::Truncate { share: 0.5 }, 5.0, 6.5),
        (LEFT, FaultKind::Mute, 10.0, 11.5),
        (RIGHT, FaultKind::Duplicate { share: 0.9 }, 10.0, 11.5),
        (LEFT, FaultKind::Unplug, 15.0, 16.5),
        (RIGHT, FaultKind::Delay { by_s: 0.5 }, 15.0, 16.0),
    ]
    .into_iter()
    .map(|(mount, kind, from_s, to_s)| Fault {
        mount,
        kind,
        from_s: AIR_BEGINS_S + from_s,
        to_s: AIR_BEGINS_S + to_s,
    })
    .collect();
    let link = LinkSpec {
        burst_ms: 40.0,
        payload_bytes: Some(182),
        ..LinkSpec::of(LinkKind::Bluetooth)
    };
    let csv = WireFormat::from_name("csv", None).expect("a format");
    let scenario = [LEFT, RIGHT].into_iter().fold(
        Scenario::shipped("garage-good").expect("shipped"),
        |scenario, mount| scenario.with_wire(mount, &csv, link),
    );
    let scenario = scenario.with_faults(FaultPlan::new(faults.clone()));
    let garage = Garage::open(scenario, &told_all);
    assert!(garage.sim.now_s() < AIR_BEGINS_S, "the boards came up late");
    for pair in faults.chunks(2) {
        wait_until(&garage, pair[0].to_s);
        if pair[0].kind == FaultKind::Unplug {
            // It has to be seen, called and subscribed to again: that is the radio's time.
            garage.wait_all("live", SOON);
            thread::sleep(Duration::from_secs(1));
        }
        wait_until(&garage, pair[0].to_s + 2.0);
        for fault in pair {
            is_right(&garage, fault.mount, &fault.to_string());
        }
    }
    let air = garage.sim.bluetooth().expect("boards on Bluetooth");
    air.drop_link("hub front_left").expect("dropped");
    let gone = garage
        .daemon
        .wait("no value of a board that is gone", SOON, |state| {
            camber(state, LEFT)["value_deg"].is_null()
        });
    assert!(!camber(&gone, RIGHT)["value_deg"].is_null(), "{gone:#}");
    garage.wait_all("live", SOON);
    garage.daemon.wait("a value again", SOON, |state| {
        !camber(state, LEFT)["value_deg"].is_null()
    });
    is_right(&garage, LEFT, "a dropped link");
}

fn wait_until(garage: &Garage, s: f64) {
    let wait_s = s - garage.sim.now_s();
    if wait_s > 0.0 {
        thread::sleep(Duration::from_secs_f64(wait_s));
    }
}
