//! One connection's side of MQTT 5, without the connection: bytes come in, bytes go out, times
//! are told. The library knows the protocol; this is the small part of it that a publisher needs.

use std::time::Duration;

use mqtt_protocol_core::mqtt::connection::{ConnectionOptions, Event};
use mqtt_protocol_core::mqtt::packet::v5_0::{Connect, Disconnect, Publish};
use mqtt_protocol_core::mqtt::packet::{
    ContentType, MessageExpiryInterval, Packet, PayloadFormat, PayloadFormatIndicator, Property,
    Qos,
};
use mqtt_protocol_core::mqtt::prelude::*;
use mqtt_protocol_core::mqtt::result_code::{
    ConnectReasonCode, DisconnectReasonCode, MqttError, PubackReasonCode,
};
use mqtt_protocol_core::mqtt::role::Client;
use mqtt_protocol_core::mqtt::{Connection, Version, common::Cursor};
use tokio::time::Instant;

use super::lost::Lost;

/// After this without a word between them broker and daemon ask each other, s. The broker tells
/// the world that the daemon is gone half as long again after its last word (MQTT 5, 3.1.2.10).
const KEEP_ALIVE_S: u16 = 15;

/// How long the answer to that may take.
const PING_ANSWER: Duration = Duration::from_secs(10);

/// Nothing of this length is ever sent to a client that subscribes to nothing.
const LARGEST_HEARD: u32 = 16 * 1024;

/// Where the daemon says whether it is there.
pub(crate) const AVAILABILITY: &str = "availability";
const ONLINE: &str = "online";
const OFFLINE: &str = "offline";

/// What a client says of itself.
#[derive(Clone)]
pub(crate) struct Hello {
    pub(crate) prefix: String,
    pub(crate) client_id: String,
    pub(crate) user: Option<String>,
    pub(crate) password: Option<Vec<u8>>,
}

/// What the broker said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Heard {
    /// It takes the connection.
    Taken,
    /// It has what was sent under this number.
    Has(u16),
    /// It does not take what was sent under this number, for this reason.
    Refuses(u16, u8),
}

/// See the module.
pub(crate) struct Wire {
    connection: Connection<Client>,
    prefix: String,
    /// Bytes to be sent.
    pub(crate) out: Vec<u8>,
    heard: Vec<Heard>,
    lost: Option<Lost>,
    timers: [Option<Instant>; 2],
}

const TIMERS: [TimerKind; 2] = [TimerKind::PingreqSend, TimerKind::PingrespRecv];

fn not_understood(error: MqttError) -> Lost {
    Lost::NotUnderstood {
        why: error.to_string(),
    }
}

impl Wire {
    /// Begins a connection.
    pub(crate) fn open(hello: &Hello) -> Result<Self, Lost> {
        let options = ConnectionOptions::new().maximum_packet_size_recv(LARGEST_HEARD);
        let mut connection = Connection::<Client>::with_options(Version::V5_0, options);
        let answer_ms = u64::try_from(PING_ANSWER.as_millis()).unwrap_or(u64::MAX);
        connection.set_pingresp_recv_timeout(answer_ms);
        let mut wire = Self {
            connection,
            prefix: hello.prefix.clone(),
            out: Vec::new(),
            heard: Vec::new(),
            lost: None,
            timers: [None; 2],
        };
        let connect = wire.connect(hello).map_err(not_understood)?;
        let events = wire.connection.send(connect.into());
        wire.follow(events);
        wire.judged().map(|_| wire)
    }

    fn connect(&self, hello: &Hello) -> Result<Connect, MqttError> {
        let will = self.topic(AVAILABILITY);
        // Nothing is left with the broker between connections: what has to be sent again is
        // kept here, and what is live must not come late.
        let mut connect = Connect::builder()
            .client_id(hello.client_id.as_str())?
            .clean_start(true)
            .keep_alive(KEEP_ALIVE_S)
            .will_message(will.as_str(), OFFLINE, Qos::AtLeastOnce, true)?;
        if let Some(user) = &hello.user {
            connect = connect.user_name(user.as_str())?;
        }
        if let Some(password) = &hello.password {
            connect = connect.password(password.clone())?;
        }
        connect.build()
    }

    fn topic(&self, rest: &str) -> String {
        format!("{}/{rest}", self.prefix)
    }

    /// Bytes have come.
    pub(crate) fn receive(&mut self, bytes: &[u8]) -> Result<Vec<Heard>, Lost> {
        let mut cursor = Cursor::new(bytes);
        while cursor.position() < bytes.len() as u64 && self.lost.is_none() {
            let before = cursor.position();
            let events = self.connection.recv(&mut cursor);
            let stands = events.is_empty() && cursor.position() == before;
            self.follow(events);
            if stands {
                break;
            }
        }
        self.judged()
    }

    /// When something is due if nothing comes.
    pub(crate) fn due(&self) -> Option<Instant> {
        self.timers.iter().flatten().min().copied()
    }

    /// It is `now`; whatever is due is done.
    pub(crate) fn pass(&mut self, now: Instant) -> Result<(), Lost> {
        for (nth, kind) in TIMERS.into_iter().enumerate() {
            if self.timers[nth].is_some_and(|due| due <= now) {
                self.timers[nth] = None;
                if kind == TimerKind::PingrespRecv {
                    return Err(Lost::Silent);
                }
                let events = self.connection.notify_timer_fired(kind);
                self.follow(events);
            }
        }
        self.judged().map(|_| ())
    }

    /// A number for something that the broker has to acknowledge; none while it takes no more.
    pub(crate) fn number(&mut self) -> Option<u16> {
        let room = self.connection.get_receive_maximum_vacancy_for_send();
        if room == Some(0) {
            return None;
        }
        self.connection.acquire_packet_id().ok()
    }

    /// Says that the daemon is there, or that it goes; remembered by the broker.
    pub(crate) fn say_whether_here(&mut self, here: bool) -> Result<(), Lost> {
        let payload = if here { ONLINE } else { OFFLINE };
        let number = self.number();
        self.publish(AVAILABILITY, payload.as_bytes(), number, None)
            .map(|_| ())
    }

    /// Sends a document that the broker remembers: with a number it has to acknowledge it, and
    /// with an end, in seconds, it forgets it then. Gives back whether it can be sent at all.
    pub(crate) fn publish(
        &mut self,
        topic: &str,
        payload: &[u8],
        number: Option<u16>,
        ends_s: Option<u32>,
    ) -> Result<bool, Lost> {
        let built = self.built(topic, payload, number, ends_s);
        let events = match built {
            Ok(publish) => self.connection.send(publish.into()),
            Err(error) => vec![Event::NotifyError(error)],
        };
        let sent = !events
            .iter()
            .any(|event| matches!(event, Event::NotifyError(_)));
        if !sent && let Some(number) = number {
            let _already_free = self.connection.release_packet_id(number);
        }
        let events = events
            .into_iter()
            .filter(|event| !matches!(event, Event::NotifyError(_)));
        self.follow(events.collect());
        self.judged().map(|_| sent)
    }

    fn built(
        &self,
        topic: &str,
        payload: &[u8],
        number: Option<u16>,
        ends_s: Option<u32>,
    ) -> Result<Publish, MqttError> {
        let mut properties: Vec<Property> =
            vec![PayloadFormatIndicator::new(PayloadFormat::String)?.into()];
        if topic != AVAILABILITY && !payload.is_empty() {
            properties.push(ContentType::new("application/json")?.into());
        }
        if let Some(ends_s) = ends_s {
            properties.push(MessageExpiryInterval::new(ends_s)?.into());
        }
        let publish = Publish::builder()
            .topic_name(self.topic(topic).as_str())?
            .retain(true)
            .props(properties)
            .payload(payload);
        match number {
            Some(number) => publish.qos(Qos::AtLeastOnce).packet_id(number),
            None => publish.qos(Qos::AtMostOnce),
        }
        .build()
    }

    /// Takes leave, so that the broker does not tell the world that the daemon was lost.
    pub(crate) fn take_leave(&mut self) {
        let leave = Disconnect::builder()
            .reason_code(DisconnectReasonCode::NormalDisconnection)
            .build();
        if let Ok(leave) = leave {
            let events = self.connection.send(leave.into());
            self.follow(events);
        }
    }

    fn judged(&mut self) -> Result<Vec<Heard>, Lost> {
        match self.lost.take() {
            Some(lost) => Err(lost),
            None => Ok(std::mem::take(&mut self.heard)),
        }
    }

    fn follow(&mut self, events: Vec<Event>) {
        for event in events {
            match event {
                Event::RequestSendPacket { packet, .. } => {
                    self.out.extend(packet.to_continuous_buffer());
                }
                Event::NotifyPacketReceived(packet) => self.hear(&packet),
                Event::RequestTimerReset { kind, duration_ms } => {
                    let due = Instant::now() + Duration::from_millis(duration_ms);
                    self.set(kind, Some(due));
                }
                Event::RequestTimerCancel(kind) => self.set(kind, None),
                // What came first says most; but an end may be told before its reason.
                Event::NotifyError(error) => {
                    if matches!(self.lost, None | Some(Lost::BrokeOff)) {
                        self.lost = Some(not_understood(error));
                    }
                }
                Event::RequestClose => {
                    self.lost.get_or_insert(Lost::BrokeOff);
                }
                Event::NotifyPacketIdReleased(_) => {}
            }
        }
    }

    fn set(&mut self, kind: TimerKind, due: Option<Instant>) {
        if let Some(nth) = TIMERS.iter().position(|known| *known == kind) {
            self.timers[nth] = due;
        }
    }

    fn hear(&mut self, packet: &Packet) {
        match packet {
            Packet::V5_0Connack(answer) => match answer.reason_code() {
                ConnectReasonCode::Success => self.heard.push(Heard::Taken),
                code @ (ConnectReasonCode::BadUserNameOrPassword
                | ConnectReasonCode::NotAuthorized) => {
                    self.lost = Some(Lost::NotLetIn { code: code as u8 });
                }
                code => self.lost = Some(Lost::NotTaken { code: code as u8 }),
            },
            Packet::V5_0Puback(answer) => {
                let number = answer.packet_id();
                self.heard.push(match answer.reason_code() {
                    None
                    | Some(PubackReasonCode::Success | PubackReasonCode::NoMatchingSubscribers) => {
                        Heard::Has(number)
                    }
                    Some(code) => Heard::Refuses(number, code as u8),
                });
            }
            Packet::V5_0Disconnect(farewell) => {
                self.lost = Some(match farewell.reason_code() {
                    Some(DisconnectReasonCode::SessionTakenOver) => Lost::Replaced,
                    Some(code) => Lost::SentAway { code: code as u8 },
                    None => Lost::BrokeOff,
                });
            }
            _ => {}
        }
    }
}
