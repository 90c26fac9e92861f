//! Faults on real wires: a pseudo-terminal on the left, datagrams on the right.

use std::thread;
use std::time::Duration;

use hubplumb_protocol::WireFormat;
use hubplumb_sim::{Fault, FaultKind, FaultPlan, LinkKind, LinkSpec, Mount, Scenario};
use hubplumb_tests::Garage;
use hubplumb_tests::garage::told_all;
use serde_json::Value;

const LEFT: Mount = Mount::FrontLeft;
const RIGHT: Mount = Mount::FrontRight;
/// By then everything is live; s of the simulation.
const BEGINS_S: f64 = 30.0;

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
    let truth = garage.sim.truth();
    let true_deg = |mount: Mount| {
        let wheel = mount.wheel().and_then(|wheel| truth.wheel(wheel));
        wheel.expect("a wheel").camber_deg
    };
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
        let after = garage.daemon.state();
        for fault in pair {
            let shown = camber(&after, fault.mount);
            let value_deg = shown["value_deg"].as_f64();
            let value_deg = value_deg.unwrap_or_else(|| panic!("after {fault}: {shown:#}"));
            let expanded_deg = shown["expanded_deg"].as_f64().expect("a number");
            let off_deg = (value_deg - true_deg(fault.mount)).abs();
            assert!(
                off_deg < 2.0 * expanded_deg,
                "after {fault}: {off_deg}° off, {shown:#}"
            );
        }
    }
}

fn wait_until(garage: &Garage, s: f64) {
    let wait_s = s - garage.sim.now_s();
    if wait_s > 0.0 {
        thread::sleep(Duration::from_secs_f64(wait_s));
    }
}
