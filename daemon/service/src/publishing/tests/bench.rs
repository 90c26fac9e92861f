//! A broker of memory, and a daemon's side that calls it.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use mqtt_protocol_core::mqtt::common::Cursor;
use mqtt_protocol_core::mqtt::connection::Event;
use mqtt_protocol_core::mqtt::packet::v5_0::{Connack, Connect, Puback};
use mqtt_protocol_core::mqtt::packet::{Packet, Property};
use mqtt_protocol_core::mqtt::prelude::*;
use mqtt_protocol_core::mqtt::result_code::{ConnectReasonCode, PubackReasonCode};
use mqtt_protocol_core::mqtt::role::Server;
use mqtt_protocol_core::mqtt::{Connection, Version};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _, DuplexStream, duplex};
use tokio::sync::watch;
use tokio::time::Instant;
use tokio_util::sync::CancellationToken;

use super::super::Link;
use super::super::dial::Dial;
use super::super::keep::{Keeper, ReadLive};
use super::super::lost::Lost;
use super::super::outbox::{Letter, Outbox};
use super::super::wire::Hello;

/// What a call gives.
pub(super) enum Call {
    Lost(Lost),
    Reached(DuplexStream),
    Never,
}

/// Calls that are given one after the other; the last is given for ever if it is a loss.
pub(super) struct Calls {
    calls: Mutex<VecDeque<Call>>,
    pub(super) made: Arc<Mutex<Vec<Instant>>>,
}

impl Dial for Calls {
    type Stream = DuplexStream;

    async fn dial(&self) -> Result<DuplexStream, Lost> {
        self.made.lock().unwrap().push(Instant::now());
        let call = self.calls.lock().unwrap().pop_front();
        match call {
            Some(Call::Reached(stream)) => Ok(stream),
            Some(Call::Lost(lost)) => Err(lost),
            Some(Call::Never) => std::future::pending().await,
            None => Err(Lost::Refused),
        }
    }

    async fn hello(&self) -> Result<Hello, Lost> {
        Ok(Hello {
            prefix: "garage".to_owned(),
            client_id: "test".to_owned(),
            user: Some("user".to_owned()),
            password: Some(b"secret".to_vec()),
        })
    }
}

pub(super) struct Kept {
    pub(super) outbox: Arc<Outbox>,
    pub(super) link: watch::Receiver<Link>,
    pub(super) made: Arc<Mutex<Vec<Instant>>>,
    pub(super) stop: CancellationToken,
    pub(super) task: tokio::task::JoinHandle<()>,
}

pub(super) fn keep(calls: Vec<Call>, live: Option<ReadLive>) -> Kept {
    let outbox = Arc::new(Outbox::default());
    let (tell, link) = watch::channel(Link::Calling);
    let made = Arc::new(Mutex::new(Vec::new()));
    let keeper = Keeper {
        dial: Calls {
            calls: Mutex::new(calls.into()),
            made: made.clone(),
        },
        outbox: outbox.clone(),
        live: live.map(|read| (read, Duration::from_secs(1))),
        deadband_deg: 0.01,
        link: tell,
    };
    let stop = CancellationToken::new();
    let task = tokio::spawn(keeper.run(stop.clone()));
    Kept {
        outbox,
        link,
        made,
        stop,
        task,
    }
}

/// A message that arrived: topic, payload, quality of service, expiry.
pub(super) type Arrived = (String, String, u8, Option<u32>);

/// The other side of a stream.
pub(super) struct Broker {
    pub(super) stream: DuplexStream,
    mqtt: Connection<Server>,
    pub(super) arrived: Vec<Arrived>,
    pub(super) numbers: Vec<u16>,
    pub(super) connect: Option<Connect>,
    pub(super) left: bool,
}

impl Broker {
    pub(super) fn new(stream: DuplexStream) -> Self {
        Self {
            stream,
            mqtt: Connection::new(Version::V5_0),
            arrived: Vec::new(),
            numbers: Vec::new(),
            connect: None,
            left: false,
        }
    }

    async fn send(&mut self, packet: Packet) {
        for event in self.mqtt.send(packet) {
            match event {
                Event::RequestSendPacket { packet, .. } => {
                    let bytes = packet.to_continuous_buffer();
                    self.stream.write_all(&bytes).await.unwrap();
                }
                Event::NotifyError(error) => panic!("{error}"),
                _ => {}
            }
        }
    }

    pub(super) async fn answer(&mut self, reason: ConnectReasonCode) {
        let answer = Connack::builder()
            .session_present(false)
            .reason_code(reason)
            .build()
            .unwrap();
        self.send(answer.into()).await;
    }

    pub(super) async fn acknowledge(&mut self, number: u16, reason: PubackReasonCode) {
        let answer = Puback::builder()
            .packet_id(number)
            .reason_code(reason)
            .build()
            .unwrap();
        self.send(answer.into()).await;
    }

    /// Listens for so long.
    pub(super) async fn listen(&mut self, length: Duration) {
        let until = Instant::now() + length;
        let mut buffer = [0; 4096];
        loop {
            let read = tokio::time::timeout_at(until, self.stream.read(&mut buffer)).await;
            let Ok(Ok(count @ 1..)) = read else {
                if read.is_ok() {
                    // The end of the stream.
                    tokio::time::sleep_until(until).await;
                }
                return;
            };
            let mut cursor = Cursor::new(&buffer[..count]);
            while cursor.position() < count as u64 {
                for event in self.mqtt.recv(&mut cursor) {
                    match event {
                        Event::NotifyPacketReceived(packet) => self.hear(packet),
                        Event::NotifyError(error) => panic!("{error}"),
                        _ => {}
                    }
                }
            }
        }
    }

    fn hear(&mut self, packet: Packet) {
        match packet {
            Packet::V5_0Connect(connect) => self.connect = Some(connect),
            Packet::V5_0Disconnect(_) => self.left = true,
            Packet::V5_0Publish(publish) => {
                assert!(publish.retain(), "every message is remembered");
                let expiry = publish.props().iter().find_map(|property| match property {
                    Property::MessageExpiryInterval(seconds) => Some(seconds.val()),
                    _ => None,
                });
                self.numbers.extend(publish.packet_id());
                self.arrived.push((
                    publish.topic_name().to_owned(),
                    String::from_utf8(publish.payload().as_slice().to_vec()).unwrap(),
                    publish.qos() as u8,
                    expiry,
                ));
            }
            _ => {}
        }
    }

    /// Takes the connection and acknowledges what comes at once.
    pub(super) async fn take(&mut self) {
        self.listen(Duration::from_millis(10)).await;
        assert!(self.connect.is_some(), "nobody said hello");
        self.answer(ConnectReasonCode::Success).await;
        self.listen(Duration::from_millis(10)).await;
    }

    /// Acknowledges all that came.
    pub(super) async fn has_all(&mut self) {
        for number in std::mem::take(&mut self.numbers) {
            self.acknowledge(number, PubackReasonCode::Success).await;
        }
        self.listen(Duration::from_millis(10)).await;
    }

    /// Topics and payloads that came since the last look.
    pub(super) fn told(&mut self) -> Vec<String> {
        let arrived = std::mem::take(&mut self.arrived);
        arrived
            .into_iter()
            .map(|(topic, payload, ..)| format!("{topic} {payload}"))
            .collect()
    }
}

pub(super) fn reached() -> (Call, Broker) {
    let (ours, theirs) = duplex(4096);
    (Call::Reached(ours), Broker::new(theirs))
}

pub(super) fn finding(topic: &str, document: &str) -> Letter {
    Letter {
        topic: format!("finding/{topic}"),
        document: document.as_bytes().to_vec(),
    }
}
