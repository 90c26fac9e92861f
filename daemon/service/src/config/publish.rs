//! Judging what a configuration says of publishing.

use std::path::{Path, PathBuf};

use super::PublishConfig;
use super::judge::Faults;
use super::locate::Step;
use super::raw::{RawMqtt, RawPublish};

/// Ports that are registered for MQTT, plain and over TLS.
const PLAIN_PORT: u16 = 1883;
const TLS_PORT: u16 = 8883;

/// Longest prefix, bytes: what every broker takes, with room for the rest of a topic.
const LONGEST_PREFIX: usize = 128;

/// Longest client identifier, bytes. A broker need not take more than 23 (MQTT 5, 3.1.3.1); all
/// that are in use take these.
const LONGEST_CLIENT: usize = 64;

/// How often a live value may be sent, per second: a person reads no faster than twice.
const SLOWEST_HZ: f64 = 0.1;
const FASTEST_HZ: f64 = 2.0;
const USUAL_HZ: f64 = 1.0;

/// A change below this is not worth a message; a fifth of what a good board is known to.
const USUAL_DEADBAND_DEG: f64 = 0.01;

/// How and where findings and live angles are published by MQTT.
#[derive(Debug, Clone, PartialEq)]
pub struct MqttConfig {
    /// Name or address of the broker.
    pub host: String,
    /// Its port.
    pub port: u16,
    /// File with the certificates that the broker's is judged by; none: without TLS.
    pub ca_file: Option<PathBuf>,
    /// Name to log in by.
    pub user: Option<String>,
    /// File that holds the password and nothing else.
    pub password_file: Option<PathBuf>,
    /// Beginning of every topic.
    pub prefix: String,
    /// What the broker knows this daemon by; none: by the machine's name.
    pub client_id: Option<String>,
    /// Are findings published?
    pub findings: bool,
    /// Are live angles published?
    pub live: bool,
    /// How often a live angle may be sent, per second.
    pub live_hz: f64,
    /// By how much a live angle has to change to be sent before its time, degrees.
    pub deadband_deg: f64,
}

impl MqttConfig {
    /// The broker as a person writes it.
    pub fn broker(&self) -> String {
        if self.host.contains(':') {
            format!("[{}]:{}", self.host, self.port)
        } else {
            format!("{}:{}", self.host, self.port)
        }
    }
}

fn at(key: &'static str) -> [Step; 3] {
    [Step::Key("publish"), Step::Key("mqtt"), Step::Key(key)]
}

pub(super) fn publish(raw: &RawPublish, file: &Path, faults: &mut Faults) -> PublishConfig {
    PublishConfig {
        mqtt: raw.mqtt.as_ref().map(|raw| mqtt(raw, file, faults)),
    }
}

fn mqtt(raw: &RawMqtt, file: &Path, faults: &mut Faults) -> MqttConfig {
    let folder = file.parent().unwrap_or(Path::new(""));
    let beside = |name: &String| folder.join(name);
    let tls = raw.tls.unwrap_or(false);
    if tls && raw.ca_file.is_none() {
        faults.add(
            &at("tls"),
            "there is nothing to judge the broker's certificate by",
            "name the file of the certificate authority with `ca_file`; for a certificate of a public one, `/etc/ssl/certs/ca-certificates.crt` or where your system keeps them",
        );
    }
    if !tls && raw.ca_file.is_some() {
        faults.add(
            &at("ca_file"),
            "a certificate is named, and TLS is off",
            "write `tls = true`, or take `ca_file` out",
        );
    }
    if raw.password_file.is_some() && raw.user.is_none() {
        faults.add(
            &at("password_file"),
            "there is a password and no user",
            "name the user with `user`",
        );
    }
    let (host, port) = address(raw, if tls { TLS_PORT } else { PLAIN_PORT }, faults);
    MqttConfig {
        host,
        port,
        ca_file: raw.ca_file.as_ref().map(beside),
        user: raw.user.clone(),
        password_file: raw.password_file.as_ref().map(beside),
        prefix: prefix(raw, faults),
        client_id: client(raw, faults),
        findings: raw.findings.unwrap_or(true),
        live: raw.live.unwrap_or(true),
        live_hz: raw.live_hz.map_or(USUAL_HZ, |hz| {
            faults.within(
                &at("live_hz"),
                hz,
                SLOWEST_HZ,
                FASTEST_HZ,
                "per second",
                USUAL_HZ,
            )
        }),
        deadband_deg: raw.deadband_deg.map_or(USUAL_DEADBAND_DEG, |deg| {
            faults.within(
                &at("deadband_deg"),
                deg,
                0.0,
                1.0,
                "degrees",
                USUAL_DEADBAND_DEG,
            )
        }),
    }
}

/// `host`, `host:port`, `[address of version 6]` or `[…]:port`.
fn address(raw: &RawMqtt, usual_port: u16, faults: &mut Faults) -> (String, u16) {
    let Some(written) = &raw.address else {
        faults.add(
            &at("address"),
            "it is not said where the broker is",
            "write it as in `address = \"broker.local\"` or `address = \"192.168.4.2:1883\"`",
        );
        return (String::new(), usual_port);
    };
    let split = match written.strip_prefix('[') {
        Some(rest) => rest
            .split_once(']')
            .map(|(host, rest)| (host, rest.strip_prefix(':'), rest)),
        None => match written.split_once(':') {
            Some((host, port)) => Some((host, Some(port), "")),
            None => Some((written.as_str(), None, "")),
        },
    };
    let understood = split.and_then(|(host, port, rest)| {
        let port = match port {
            Some(port) => port.parse().ok().filter(|port| *port != 0)?,
            None if rest.is_empty() => usual_port,
            None => return None,
        };
        let in_brackets = written.starts_with('[');
        let is_host = if in_brackets {
            host.parse::<std::net::Ipv6Addr>().is_ok()
        } else {
            !host.is_empty()
                && host
                    .chars()
                    .all(|c| c.is_ascii_alphanumeric() || "-._".contains(c))
        };
        is_host.then(|| (host.to_owned(), port))
    });
    understood.unwrap_or_else(|| {
        faults.add(
            &at("address"),
            format!("`{written}` is no address of a broker"),
            "write a name or an address, with a port where it is not the usual one: `broker.local`, `192.168.4.2:1883`, `[fd00::7]:8883`",
        );
        (String::new(), usual_port)
    })
}

fn prefix(raw: &RawMqtt, faults: &mut Faults) -> String {
    const USUAL: &str = "hubplumb";
    let Some(written) = &raw.prefix else {
        return USUAL.to_owned();
    };
    let is_level = |level: &str| {
        !level.is_empty() && !level.contains(|c: char| c == '+' || c == '#' || c.is_control())
    };
    if written.len() <= LONGEST_PREFIX
        && !written.starts_with('$')
        && written.split('/').all(is_level)
    {
        return written.clone();
    }
    faults.add(
        &at("prefix"),
        format!("`{written}` cannot begin a topic"),
        format!("write levels with `/` between them and none of `+ #` in them, not beginning with `$`, at most {LONGEST_PREFIX} bytes, as in `garage/hubplumb`"),
    );
    USUAL.to_owned()
}

fn client(raw: &RawMqtt, faults: &mut Faults) -> Option<String> {
    let written = raw.client_id.as_ref()?;
    if !written.is_empty()
        && written.len() <= LONGEST_CLIENT
        && written
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c))
    {
        return Some(written.clone());
    }
    faults.add(
        &at("client_id"),
        format!("`{written}` is no client identifier"),
        format!(
            "write at most {LONGEST_CLIENT} letters, digits, `-`, `_` or `.`; or leave it out for one by this machine's name"
        ),
    );
    None
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::super::{Config, ConfigError, parse};
    use super::MqttConfig;

    fn read(mqtt: &str) -> Result<Config, ConfigError> {
        let text = format!("[publish.mqtt]\n{mqtt}\n");
        parse(&text, Path::new("/garage/car.toml"))
    }

    fn sound(mqtt: &str) -> MqttConfig {
        read(mqtt).unwrap().publish.mqtt.unwrap()
    }

    #[test]
    fn nothing_is_published_unless_it_is_asked_for() {
        let config = parse("[http]\nhttps = false\n", Path::new("car.toml")).unwrap();
        assert_eq!(config.publish.mqtt, None);
        assert_eq!(Config::default().publish.mqtt, None);
    }

    #[test]
    fn what_is_left_out_has_a_usual_value() {
        let usual = MqttConfig {
            host: "broker.local".to_owned(),
            port: 1883,
            ca_file: None,
            user: None,
            password_file: None,
            prefix: "hubplumb".to_owned(),
            client_id: None,
            findings: true,
            live: true,
            live_hz: 1.0,
            deadband_deg: 0.01,
        };
        assert_eq!(sound("address = \"broker.local\""), usual);
        let told = MqttConfig {
            host: "fd00::7".to_owned(),
            port: 8883,
            ca_file: Some("/garage/ca.pem".into()),
            user: Some("garage".to_owned()),
            password_file: Some("/etc/secret".into()),
            prefix: "home/garage".to_owned(),
            client_id: Some("lift-1".to_owned()),
            findings: false,
            live: false,
            live_hz: 0.5,
            deadband_deg: 0.0,
        };
        let written = "address = \"[fd00::7]\"\ntls = true\nca_file = \"ca.pem\"\nuser = \"garage\"\n\
            password_file = \"/etc/secret\"\nprefix = \"home/garage\"\nclient_id = \"lift-1\"\n\
            findings = false\nlive = false\nlive_hz = 0.5\ndeadband_deg = 0.0";
        assert_eq!(sound(written), told);
        assert_eq!(told.broker(), "[fd00::7]:8883");
        assert_eq!(usual.broker(), "broker.local:1883");
    }

    #[test]
    fn what_cannot_be_is_told_by_key_and_line() {
        let with = |line: &str| format!("address = \"b\"\n{line}");
        for (written, key, line) in [
            (String::new(), "publish.mqtt.address", 1),
            ("address = \"\"".to_owned(), "publish.mqtt.address", 2),
            ("address = \"b:0\"".to_owned(), "publish.mqtt.address", 2),
            (
                "address = \"b:99999\"".to_owned(),
                "publish.mqtt.address",
                2,
            ),
            (
                "address = \"fd00::7\"".to_owned(),
                "publish.mqtt.address",
                2,
            ),
            (
                "address = \"[fd00::7\"".to_owned(),
                "publish.mqtt.address",
                2,
            ),
            (
                "address = \"[fd00::7]8\"".to_owned(),
                "publish.mqtt.address",
                2,
            ),
            (
                "address = \"mqtt://b\"".to_owned(),
                "publish.mqtt.address",
                2,
            ),
            (with("tls = true"), "publish.mqtt.tls", 3),
            (with("ca_file = \"ca.pem\""), "publish.mqtt.ca_file", 3),
            (
                with("password_file = \"p\""),
                "publish.mqtt.password_file",
                3,
            ),
            (with("prefix = \"a/#\""), "publish.mqtt.prefix", 3),
            (with("prefix = \"a//b\""), "publish.mqtt.prefix", 3),
            (with("prefix = \"$SYS/a\""), "publish.mqtt.prefix", 3),
            (with("client_id = \"a b\""), "publish.mqtt.client_id", 3),
            (with("live_hz = 50"), "publish.mqtt.live_hz", 3),
            (with("live_hz = nan"), "publish.mqtt.live_hz", 3),
            (with("deadband_deg = -1"), "publish.mqtt.deadband_deg", 3),
        ] {
            let Err(ConfigError::Wrong { faults }) = read(&written) else {
                panic!("{written} is taken");
            };
            let [fault] = faults.as_slice() else {
                panic!("{written}: {faults:?}");
            };
            assert_eq!((fault.key.as_str(), fault.line), (key, line), "{written}");
        }
        assert!(read("address = \"b\"\npassword = \"open\"").is_err());
    }
}
