//! The ways in as a whole, and the announcement as another machine hears it.

use mdns_sd::{IfKind, ResolvedService, ServiceDaemon, ServiceEvent};
use tokio::time::{sleep, timeout};

use super::*;

/// What a handler is given in tests.
pub(crate) fn desk(listen: &str, https: bool) -> ReachDesk {
    open(ReachOptions {
        listen: listen.parse().unwrap(),
        https,
        announce: true,
        names: Vec::new(),
        folder: None,
    })
    .unwrap()
    .0
}

#[test]
fn addresses_are_written_as_a_browser_takes_them() {
    for (listen, https, url) in [
        ("192.168.4.20:8710", false, "http://192.168.4.20:8710/"),
        ("192.168.4.20:443", true, "https://192.168.4.20:443/"),
        ("[fd00::20]:8710", true, "https://[fd00::20]:8710/"),
    ] {
        assert_eq!(desk(listen, https).ways().urls(), [url]);
    }
}

#[test]
fn a_name_is_told_only_where_others_can_open_the_page() {
    let near = desk("127.0.0.1:8710", false).ways();
    assert_eq!((near.announced, near.named_url()), (Announced::Off, None));
    assert!(near.is_this_machine_only());
    let far = desk("192.168.4.20:8710", false).ways();
    assert_eq!(
        far.named_url().as_deref(),
        Some("http://hubplumb.local:8710/")
    );
    let off = open(ReachOptions {
        listen: "192.168.4.20:8710".parse().unwrap(),
        https: false,
        announce: false,
        names: Vec::new(),
        folder: None,
    });
    assert_eq!(off.unwrap().0.ways().named_url(), None);
}

#[test]
fn the_certificate_is_for_everything_the_page_is_called() {
    let ways = Ways {
        names: own_names("garage", &["garage.lan".to_owned()]),
        ..desk("192.168.4.20:8710", true).ways()
    };
    let names = names(&ways);
    assert_eq!(
        names,
        [
            "192.168.4.20",
            "hubplumb.local",
            "garage.local",
            "127.0.0.1",
            "localhost"
        ]
    );
    let renamed = Ways {
        name: "hubplumb-2.local".to_owned(),
        ..ways
    };
    assert!(super::names(&renamed).contains(&"hubplumb-2.local".to_owned()));
}

/// A name that somebody else lets point here is not one of ours, whatever it looks like.
#[test]
fn only_addresses_and_our_own_names_are_hosts() {
    let ways = Ways {
        name: "hubplumb-2.local".to_owned(),
        names: own_names("bench", &["Garage.lan".to_owned()]),
        ..desk("192.168.4.20:8710", false).ways()
    };
    for host in [
        "127.0.0.1",
        "192.168.4.20",
        "10.9.9.9",
        "[::1]",
        "[fd00::20]",
        "localhost",
        "LOCALHOST",
        "hubplumb.local",
        "hubplumb-2.local",
        "hubplumb.local.",
        "bench",
        "bench.local",
        "garage.lan",
    ] {
        assert!(ways.is_called(host), "{host}");
    }
    for host in [
        "",
        ".",
        "example.com",
        "localhost.example.com",
        "127.0.0.1.example.com",
        "[]",
        "[::1",
        "::1",
        "[127.0.0.1]",
        "hubplumb-3.local",
        "xhubplumb.local",
        "garage.lan..",
        "0x7f000001.example",
    ] {
        assert!(!ways.is_called(host), "{host}");
    }
}

#[tokio::test]
async fn a_new_name_renews_the_certificate_that_connections_are_secured_by() {
    let (desk, mut task) = open(ReachOptions {
        listen: "192.168.4.20:8710".parse().unwrap(),
        https: true,
        announce: false,
        names: Vec::new(),
        folder: None,
    })
    .unwrap();
    let mut tls = desk.tls().unwrap();
    let before = desk.ways().certificate.unwrap();
    task.look();
    assert!(!tls.has_changed().unwrap(), "nothing is new");
    task.hear(Heard::Renamed("hubplumb-2.local".to_owned()));
    assert!(tls.has_changed().unwrap());
    tls.mark_unchanged();
    let after = desk.ways().certificate.unwrap();
    assert_eq!(after.fingerprint, before.fingerprint);
    assert_ne!(after.page_fingerprint, before.page_fingerprint);
}

/// How long a multicast answer may take: probing alone is three quarters of a second.
const SOON: Duration = Duration::from_secs(10);

/// A resolver of its own that listens on loopback alone.
fn resolver() -> ServiceDaemon {
    let resolver = ServiceDaemon::new().unwrap();
    resolver.disable_interface(IfKind::All).unwrap();
    resolver.enable_interface(IfKind::LoopbackV4).unwrap();
    resolver
}

async fn found(events: &mdns_sd::Receiver<ServiceEvent>, port: u16) -> Box<ResolvedService> {
    timeout(SOON, async {
        loop {
            match events.recv_async().await.unwrap() {
                ServiceEvent::ServiceResolved(service) if service.port == port => return service,
                _ => {}
            }
        }
    })
    .await
    .expect("the page is found")
}

/// One test, because two at once would meet on the same loopback.
#[tokio::test]
async fn the_page_is_found_gone_after_the_end_and_leaves_a_taken_name_alone() {
    found_and_gone(40_117).await;
    left_alone(40_118).await;
}

async fn found_and_gone(port: u16) {
    let near = On::Card([127, 0, 0, 1].into());
    let announcement = Announcement::begin(&near, port, false, "garage").unwrap();
    assert_eq!(
        timeout(SOON, announcement.heard()).await.unwrap(),
        Some(Heard::Announced)
    );
    let resolver = resolver();
    let events = resolver.browse("_http._tcp.local.").unwrap();
    let service = found(&events, port).await;
    assert_eq!(service.host, "hubplumb.local.");
    assert_eq!(service.fullname, "hubplumb on garage._http._tcp.local.");
    assert_eq!(service.get_property_val_str("path"), Some("/"));
    announcement.withdraw().await;
    let gone = timeout(SOON, async {
        loop {
            if let ServiceEvent::ServiceRemoved(_, name) = events.recv_async().await.unwrap()
                && name == service.fullname
            {
                return;
            }
        }
    });
    gone.await.expect("it is taken back");
    resolver.shutdown().unwrap();
}

/// Somebody else on the network has the name, with an address that is not ours.
async fn left_alone(port: u16) {
    let other = resolver();
    let theirs = mdns_sd::ServiceInfo::new(
        "_http._tcp.local.",
        "somebody else",
        "hubplumb.local.",
        "127.9.9.9",
        port,
        &[("path", "/")][..],
    );
    other.register(theirs.unwrap()).unwrap();
    sleep(Duration::from_secs(2)).await;
    let near = On::Card([127, 0, 0, 1].into());
    let announcement = Announcement::begin(&near, port + 1, false, "garage").unwrap();
    let renamed = timeout(SOON, async {
        loop {
            if let Some(Heard::Renamed(name)) = announcement.heard().await {
                return name;
            }
        }
    });
    assert_eq!(renamed.await.expect("it is numbered"), "hubplumb-2.local");
    announcement.withdraw().await;
    other.shutdown().unwrap();
}
