//! What is published by MQTT, at a real broker and seen by its own listener.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use hubplumb::store::Store;
use hubplumb_sim::{Scenario, Wheel};
use hubplumb_tests::broker::{Broker, Keys, Message, password_file};
use hubplumb_tests::garage::{Garage, Sitting, told_all};
use hubplumb_tests::{Daemon, running::write_config};
use rcgen::{BasicConstraints, CertificateParams, CertifiedIssuer, DnType, IsCa, KeyPair};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(15);
/// A broker that was away is called again after at most this long in these tests: 1, 2, 4, 8 s.
const AFTER_AN_OUTAGE: Duration = Duration::from_secs(25);
/// For how long live angles hold, as docs/PUBLISH.md says.
const FRESH: Duration = Duration::from_secs(10);

/// A daemon without boards that publishes as told.
fn without_boards(folder: &Path, mqtt: &str) -> Daemon {
    let config = format!(
        "[http]\nlisten = \"127.0.0.1:0\"\n[publish.mqtt]\n{mqtt}\n\
         [[board]]\nport = \"/dev/no-such-port\"\n"
    );
    let config = write_config(folder, &config);
    let store = folder.join("store");
    let (config, store) = (config.to_string_lossy(), store.to_string_lossy());
    Daemon::start(&["run", "--config", &config, "--store", &store])
}

fn open_visit(daemon: &Daemon) {
    let car = json!({ "name": "Wicket" });
    assert_eq!(daemon.post("/api/v1/cars", &car).0, 201);
    assert_eq!(daemon.post("/api/v1/visits", &json!({ "car": 1 })).0, 201);
}

/// Types gaps from which a total toe follows.
fn type_gap(daemon: &Daemon, ask: &str, behind: &str) {
    let figures = json!({ "ask": ask, "figures": {
        "way": "gap", "front": true, "diameter": "350",
        "pairs": [{ "ahead": "1400", "behind": behind }],
    }});
    let (status, answer) = daemon.post("/api/v1/visits/1/figures", &figures);
    assert_eq!(status, 200, "{answer:#}");
}

#[track_caller]
fn wait_broker(daemon: &Daemon, state: &str, at_most: Duration) -> Value {
    let now = daemon.wait(&format!("the broker is {state}"), at_most, |now| {
        now["publishing"]["state"] == state
    });
    now["publishing"].clone()
}

#[test]
fn live_angles_and_findings_are_there_for_who_comes_later_and_end_with_the_daemon() {
    let Some(broker) = Broker::start("publishing", &Keys::default()) else {
        return;
    };
    let publish = format!(
        "body_roll_standard_deg = 0\nbody_pitch_standard_deg = 0\n\
         [publish.mqtt]\naddress = \"127.0.0.1:{}\"\nprefix = \"home/garage\"\nlive_hz = 2\n",
        broker.port()
    );
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let sitting = Sitting {
        swing: &publish,
        ..Sitting::square(&told_all)
    };
    let garage = Garage::open_sitting(scenario, &sitting);
    let daemon = &garage.daemon;
    assert_eq!(
        wait_broker(daemon, "up", SOON)["broker"],
        format!("127.0.0.1:{}", broker.port())
    );
    let early = broker.listen("home/garage", &[]);
    let start = json!({ "kind": "camber_on_hub", "mount": "front_left", "hold_s": 2 });
    assert_eq!(daemon.post("/api/v1/check", &start).0, 202);
    let told = early.wait("the finding", 2 * SOON, |message| {
        message.topic == "finding/front_left/camber"
    });

    // Whoever comes later gets the same from the broker.
    let late = broker.listen("home/garage", &[]);
    let finding = late.wait("the finding, kept", SOON, |message| {
        message.retained && message.topic == "finding/front_left/camber"
    });
    assert_eq!(finding.payload, told.payload);
    assert_eq!((finding.quality, finding.expiry_s), (1, None));
    let document = finding.json();
    let number = |key: &str| document[key].as_f64().expect("a number");
    let truth = garage.sim.truth();
    let true_deg = truth.wheel(Wheel::FrontLeft).expect("a wheel").camber_deg;
    assert!(
        (number("value") - true_deg).abs() <= number("expanded"),
        "{document:#}, truth {true_deg}"
    );
    assert!(number("u") > 0.0 && number("u") < number("expanded"));
    assert_eq!(document["unit"], "deg");
    assert_eq!(document["procedure"], "camber_on_hub");
    assert_eq!(document["visit"], Value::Null);
    let here = late.wait("it is there", SOON, |message| {
        message.topic == "availability"
    });
    assert_eq!((here.payload.as_str(), here.retained), ("online", true));
    for wheel in ["front_left", "front_right"] {
        for quantity in ["camber", "hub_pitch"] {
            let topic = format!("live/{wheel}/{quantity}");
            let live = late.wait(&topic, SOON, |message| {
                message.topic == topic && !message.json()["value"].is_null()
            });
            let document = live.json();
            assert!(live.expiry_s.is_some_and(|s| s <= 10), "{live:#?}");
            assert_eq!(document["unit"], "deg");
            let (at, until) = (document["at"].as_str(), document["fresh_until"].as_str());
            assert!(at.is_some() && at < until, "{document:#}");
        }
    }
    // Two a second at most, each quantity by itself.
    thread::sleep(Duration::from_secs(5));
    let times: Vec<Instant> = early
        .heard()
        .iter()
        .filter(|message| message.topic == "live/front_left/camber" && !message.retained)
        .map(|message| message.at)
        .collect();
    let span = times[times.len() - 1]
        .duration_since(times[0])
        .as_secs_f64();
    let most = 2.0 * span + 2.0;
    assert!((times.len() as f64) <= most, "{} in {span} s", times.len());

    let killed = Instant::now();
    kill(daemon);
    let gone = early.wait("the last will", SOON, |message| {
        message.topic == "availability" && message.payload == "offline"
    });
    println!("told gone after {:?}", gone.at.duration_since(killed));
    drop(late);

    // No live angle outlives its time; findings do.
    thread::sleep((FRESH + Duration::from_secs(3)).saturating_sub(killed.elapsed()));
    let latest = broker.listen("home/garage", &[]);
    latest.wait("the finding, kept", SOON, |message| {
        message.topic == "finding/front_left/camber"
    });
    let gone = latest.wait("it is gone", SOON, |message| {
        message.topic == "availability"
    });
    assert_eq!((gone.payload.as_str(), gone.retained), ("offline", true));
    thread::sleep(Duration::from_secs(1));
    let stale: Vec<_> = latest
        .heard()
        .into_iter()
        .filter(|message| message.topic.starts_with("live/"))
        .collect();
    assert!(stale.is_empty(), "{stale:#?}");
}

#[test]
fn findings_of_an_outage_are_published_after_it_and_after_a_start_of_the_daemon_too() {
    let Some(mut broker) = Broker::start("publishing", &Keys::default()) else {
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    let mqtt = format!("address = \"127.0.0.1:{}\"", broker.port());
    let mut daemon = without_boards(folder.path(), &mqtt);
    wait_broker(&daemon, "up", SOON);
    open_visit(&daemon);
    type_gap(&daemon, "before", "1401");
    let before = broker.listen("hubplumb", &[]);
    before.wait("the finding", SOON, |message| {
        message.topic == "finding/front/total_toe"
    });
    drop(before);

    broker.kill();
    let publishing = wait_broker(&daemon, "down", SOON);
    let trouble = &publishing["trouble"];
    assert!(!trouble["remedy"].as_str().expect("a text").is_empty());
    type_gap(&daemon, "during 1", "1402");
    type_gap(&daemon, "during 2", "1403");
    daemon.wait("they wait", SOON, |now| {
        now["publishing"]["waiting"].as_u64() >= Some(2)
    });
    daemon.wait("nobody answers there", AFTER_AN_OUTAGE, |now| {
        now["publishing"]["trouble"]["code"] == "broker_refused"
    });
    broker.begin();
    let after = broker.listen("hubplumb", &[]);
    let entries = |listener: &hubplumb_tests::broker::Listener| -> Vec<u64> {
        listener
            .heard()
            .iter()
            .filter(|message| message.topic == "finding/front/total_toe")
            .filter_map(|message| message.json()["entry"].as_u64())
            .collect()
    };
    after.wait(
        "the last finding of the outage",
        AFTER_AN_OUTAGE,
        |message| message.json()["entry"] == 4,
    );
    // The one of before was with the broker; both of the outage came, in their order.
    assert_eq!(entries(&after), [3, 4]);
    let publishing = wait_broker(&daemon, "up", SOON);
    assert_eq!(publishing["waiting"], 0);
    assert_eq!(publishing["trouble"], Value::Null);

    // The broker is gone, and the daemon ends before it is back.
    broker.kill();
    wait_broker(&daemon, "down", SOON);
    type_gap(&daemon, "during 3", "1404");
    daemon.end(SOON);
    broker.begin();
    let third = broker.listen("hubplumb", &[]);
    let daemon = without_boards(folder.path(), &mqtt);
    third.wait("the finding of before the start", SOON, |message| {
        message.json()["entry"] == 5
    });
    // What is taken back: the one before it stands again.
    let back = json!({ "ask": "back", "what": { "entry": "taken_back", "number": 5 } });
    assert_eq!(daemon.post("/api/v1/visits/1/entries", &back).0, 200);
    third.wait("the one before", SOON, |message| {
        message.json()["entry"] == 4
    });
    drop(daemon);
}

/// Starts the daemon of a garage anew, with a store that outlives it.
fn with_store(garage: &mut Garage) {
    let config = garage.folder().join("hubplumb.toml");
    let store = garage.folder().join("store");
    let (config, store) = (config.to_string_lossy(), store.to_string_lossy());
    garage.daemon = Daemon::start(&["run", "--config", &config, "--store", &store]);
    garage.wait_all("live", SOON);
}

fn kill(daemon: &Daemon) {
    let kill = Command::new("kill")
        .args(["-KILL", &daemon.pid().to_string()])
        .status();
    assert!(kill.expect("kill runs").success());
}

#[test]
fn a_finding_outside_a_visit_outlives_a_daemon_that_is_killed_while_the_broker_is_away() {
    let Some(mut broker) = Broker::start("publishing", &Keys::default()) else {
        return;
    };
    let publish = format!(
        "[publish.mqtt]\naddress = \"127.0.0.1:{}\"\nlive = false\n",
        broker.port()
    );
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let sitting = Sitting {
        swing: &publish,
        ..Sitting::square(&told_all)
    };
    let mut garage = Garage::open_sitting(scenario, &sitting);
    with_store(&mut garage);
    wait_broker(&garage.daemon, "up", SOON);
    broker.kill();
    wait_broker(&garage.daemon, "down", SOON);
    let start = json!({ "kind": "camber_on_hub", "mount": "front_left", "hold_s": 2 });
    assert_eq!(garage.daemon.post("/api/v1/check", &start).0, 202);
    let waits = garage.daemon.wait("it waits", 2 * SOON, |now| {
        now["publishing"]["waiting"].as_u64() >= Some(1)
    });
    let found_deg = waits["check"]["found"][0]["findings"][0]["value"].as_f64();
    kill(&garage.daemon);
    with_store(&mut garage);
    broker.begin();
    let finding = |message: &Message| message.topic == "finding/front_left/camber";
    let listener = broker.listen("hubplumb", &[]);
    let told = listener.wait("the finding of before the kill", AFTER_AN_OUTAGE, finding);
    let document = told.json();
    println!("found {found_deg:?}, told {document}");
    assert_eq!(document["visit"], Value::Null);
    assert_eq!(document["procedure"], "camber_on_hub");
    let value_deg = document["value"].as_f64().expect("a number");
    let truth = garage.sim.truth();
    let true_deg = truth.wheel(Wheel::FrontLeft).expect("a wheel").camber_deg;
    let expanded_deg = document["expanded"].as_f64().expect("a number");
    assert!((value_deg - true_deg).abs() <= expanded_deg, "{document:#}");
    let up = wait_broker(&garage.daemon, "up", AFTER_AN_OUTAGE);
    assert_eq!(up["waiting"], 0);
    // The broker has it, so another start says nothing of it: what stands is the broker's to keep.
    garage
        .daemon
        .wait("it is forgotten", SOON, |_| unsent(garage.folder()) == 0);
    kill(&garage.daemon);
    let heard = listener.heard().iter().filter(|told| finding(told)).count();
    with_store(&mut garage);
    wait_broker(&garage.daemon, "up", AFTER_AN_OUTAGE);
    listener.wait("it is there", SOON, |message| message.payload == "online");
    thread::sleep(Duration::from_secs(1));
    let again = listener.heard().iter().filter(|told| finding(told)).count();
    assert_eq!(again, heard);
}

/// How many documents the store of a garage keeps until the broker has them.
fn unsent(folder: &Path) -> usize {
    let store = Store::open(&folder.join("store").join(Store::FILE)).expect("the store");
    store.unsent().expect("it can be read").len()
}

#[test]
fn who_may_not_write_is_told_so_until_the_password_is_right() {
    let keys = Keys {
        login: Some(("garage", "right one")),
        ..Keys::default()
    };
    let Some(broker) = Broker::start("publishing with a password", &keys) else {
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    let file = password_file(folder.path(), "wrong one", 0o644);
    let mqtt = format!(
        "address = \"127.0.0.1:{}\"\nuser = \"garage\"\npassword_file = \"mqtt.password\"",
        broker.port()
    );
    let mut daemon = without_boards(folder.path(), &mqtt);
    let because = |code: &str| {
        let now = daemon.wait(code, AFTER_AN_OUTAGE, |now| {
            now["publishing"]["trouble"]["code"] == code
        });
        now["publishing"]["trouble"].clone()
    };
    let open = because("password_open");
    let remedy = open["remedy"].as_str().expect("a text");
    assert!(remedy.contains("chmod 600") && remedy.contains("mqtt.password"));
    password_file(folder.path(), "wrong one", 0o600);
    because("broker_login");
    let (_, _, german) = daemon.get("/api/v1/state?language=de");
    assert!(german.contains("lässt den Dienst nicht ein"), "{german}");
    password_file(folder.path(), "right one", 0o600);
    wait_broker(&daemon, "up", AFTER_AN_OUTAGE);
    let login = ["-u", "garage", "-P", "right one"];
    let listener = broker.listen("hubplumb", &login);
    listener.wait("it is there", SOON, |message| message.payload == "online");
    // An end that was asked for is no loss, and is told before it.
    daemon.end(SOON);
    listener.wait("it took leave", SOON, |message| {
        message.payload == "offline"
    });
    assert!(
        !daemon.printed().contains("right one"),
        "a password was printed"
    );
    fs::remove_file(file).expect("the file was there");
}

/// An authority of its own and what it signs: certificate of the authority, then certificate and key of the broker.
fn papers() -> (String, (String, String)) {
    let mut params = CertificateParams::new(Vec::new()).expect("an authority");
    params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    // A name of its own: a certificate that bears its issuer's name is taken for self-signed.
    params
        .distinguished_name
        .push(DnType::CommonName, "Authority of the workshop");
    let authority = CertifiedIssuer::self_signed(params, KeyPair::generate().expect("a key"));
    let authority = authority.expect("an authority");
    let key = KeyPair::generate().expect("a key");
    let names = vec!["localhost".to_owned()];
    let params = CertificateParams::new(names).expect("a certificate");
    let certificate = params.signed_by(&key, &authority).expect("a certificate");
    (authority.pem(), (certificate.pem(), key.serialize_pem()))
}

#[test]
fn a_secured_broker_is_judged_by_the_authority_that_is_named() {
    let (authority, tls) = papers();
    let (stranger, _) = papers();
    let keys = Keys {
        tls: Some(tls),
        ..Keys::default()
    };
    let Some(broker) = Broker::start("publishing over TLS", &keys) else {
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("ca.pem");
    fs::write(&file, &stranger).expect("a file");
    let mqtt = format!(
        "address = \"localhost:{}\"\ntls = true\nca_file = \"ca.pem\"",
        broker.port()
    );
    let daemon = without_boards(folder.path(), &mqtt);
    let down = wait_broker(&daemon, "down", SOON);
    assert_eq!(down["trouble"]["code"], "broker_tls", "{down:#}");
    fs::write(&file, &authority).expect("a file");
    wait_broker(&daemon, "up", AFTER_AN_OUTAGE);
    let file = file.to_string_lossy();
    let secured = ["--cafile", &*file];
    let by_name = ["-h", "localhost"];
    let listener = broker.listen("hubplumb", &[secured.as_slice(), &by_name].concat());
    listener.wait("it is there", SOON, |message| message.payload == "online");

    // Without TLS, what answers is told to be something else.
    let other = tempfile::tempdir().expect("a folder");
    let plain = format!("address = \"localhost:{}\"", broker.port());
    let daemon = without_boards(other.path(), &plain);
    let down = wait_broker(&daemon, "down", SOON);
    let code = down["trouble"]["code"].as_str().expect("a code");
    assert!(
        ["broker_not_understood", "broker_broke_off"].contains(&code),
        "{down:#}"
    );
}
