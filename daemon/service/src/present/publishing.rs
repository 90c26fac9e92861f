//! What is published, and how publishing stands.

use std::sync::Arc;

use hubplumb_core::estimate::Estimate;
use hubplumb_core::reading::Live;
use hubplumb_core::time::HostTime;

use super::trouble;
use super::visit::expanded;
use crate::board::Board;
use crate::http::publish_views::{BrokerState, PublishingView};
use crate::http::views::TroubleView;
use crate::mount::Mount;
use crate::publishing::{
    FindingDocument, Link, LiveAngle, LiveQuantity, LiveReading, Lost, PublishingNow, reason_code,
};
use crate::text;
use crate::text::Text;
use crate::visit::{Place, Run};

/// Where findings come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Provenance {
    /// When they were found: RFC 3339, UTC.
    pub at: String,
    /// What tells their run from all others.
    pub id: String,
    /// Number of the visit and of its entry.
    pub visit: Option<(i64, u32)>,
}

/// The documents of a run.
pub fn published(run: &Run, from: &Provenance) -> Vec<FindingDocument> {
    run.findings
        .iter()
        .map(|finding| FindingDocument {
            schema: FindingDocument::SCHEMA,
            place: finding.place,
            quantity: finding.quantity,
            unit: finding.quantity.unit(),
            value: finding.value,
            u: finding.standard,
            expanded: expanded(finding),
            at: from.at.clone(),
            procedure: run.procedure,
            stage: from.visit.map(|_| run.stage),
            visit: from.visit.map(|(visit, _)| visit),
            entry: from.visit.map(|(_, entry)| entry),
            id: from.id.clone(),
        })
        .collect()
}

/// The live angles of all wheels that have a board.
pub fn live_readings(boards: &[Arc<Board>], now: HostTime) -> Vec<LiveReading> {
    let wheels = boards.iter().filter_map(|board| {
        let place = place(board.facts().mount?)?;
        Some((place, board.look(now).live))
    });
    wheels
        .flat_map(|(place, live)| {
            let of = |quantity, angle: &Live<Estimate>| LiveReading {
                place,
                quantity,
                angle: live_angle(angle, now),
            };
            [
                of(LiveQuantity::Camber, &live.camber),
                of(LiveQuantity::HubPitch, &live.hub_pitch),
            ]
        })
        .collect()
}

const fn place(mount: Mount) -> Option<Place> {
    match mount {
        Mount::FrontLeft => Some(Place::FrontLeft),
        Mount::FrontRight => Some(Place::FrontRight),
        Mount::RearLeft => Some(Place::RearLeft),
        Mount::RearRight => Some(Place::RearRight),
        Mount::Body => None,
    }
}

fn live_angle(live: &Live<Estimate>, now: HostTime) -> Result<LiveAngle, &'static str> {
    match live {
        Live::Known { value, at } => Ok(LiveAngle {
            value_deg: value.value.deg(),
            standard_deg: value.standard.deg(),
            expanded_deg: value.expanded().deg(),
            age_us: now.since_us(*at),
        }),
        Live::Missing(reason) => Err(reason.code()),
    }
}

/// How publishing stands.
pub fn publishing_view(now: &PublishingNow) -> PublishingView {
    let (state, trouble) = match &now.link {
        Link::Off => (BrokerState::Off, None),
        Link::Calling => (BrokerState::Calling, None),
        Link::Up { untaken } => (
            BrokerState::Up,
            untaken
                .as_ref()
                .map(|(topic, code)| untaken_trouble(topic, *code)),
        ),
        Link::Down(lost) => (BrokerState::Down, Some(lost_trouble(&now.broker, lost))),
    };
    PublishingView {
        state,
        broker: (state != BrokerState::Off).then(|| now.broker.clone()),
        waiting: now.waiting,
        given_up: now.given_up,
        trouble: trouble.or_else(|| (now.given_up > 0).then(|| given_up_trouble(now.given_up))),
    }
}

const MEANING: Text = text!(
    "Nothing is published until it is there. Measuring goes on; findings are kept and published then."
);

/// Why there is no connection, what it means and what to do.
pub fn lost_trouble(broker: &str, lost: &Lost) -> TroubleView {
    let (code, what, remedy) = lost_words(broker, lost);
    trouble(code, what, MEANING, remedy)
}

#[expect(
    clippy::too_many_lines,
    reason = "one table: what happened and what to do for each reason"
)]
fn lost_words(broker: &str, lost: &Lost) -> (&'static str, Text, Text) {
    match lost {
        Lost::PasswordUnread { file, why } => (
            "password_unread",
            text!(
                "The file with the broker's password, {file}, cannot be read: {why}.",
                file = file.display().to_string(),
                why = why.clone()
            ),
            text!(
                "Put the password into that file, as its first line, or correct `password_file` in the configuration."
            ),
        ),
        Lost::PasswordOpen { file, mode } => (
            "password_open",
            text!(
                "The file with the broker's password, {file}, can be read by others (rights {mode}); it is not used.",
                file = file.display().to_string(),
                mode = format!("{mode:04o}")
            ),
            text!(
                "Take the rights from others with `chmod 600 {file}`.",
                file = file.display().to_string()
            ),
        ),
        Lost::Authority { file, why } => (
            "authority_unusable",
            text!(
                "The file with the certificate authority, {file}, cannot be used: {why}.",
                file = file.display().to_string(),
                why = why.clone()
            ),
            text!(
                "Put the authority's certificate there in PEM form, or correct `ca_file` in the configuration."
            ),
        ),
        Lost::NoName { why } => (
            "broker_unknown",
            text!(
                "The name of the broker at {broker} is not found: {why}.",
                broker = broker.to_owned(),
                why = why.clone()
            ),
            text!("Check `address` in the configuration and this machine's network."),
        ),
        Lost::Refused => (
            "broker_refused",
            text!(
                "A machine answers, and no broker listens at {broker}.",
                broker = broker.to_owned()
            ),
            text!("Start the broker, or correct `address` in the configuration."),
        ),
        Lost::NoAnswer => (
            "broker_no_answer",
            text!("Nobody answers at {broker}.", broker = broker.to_owned()),
            text!("Check that the broker runs and that both are in one network."),
        ),
        Lost::Unreachable { why } => (
            "broker_unreachable",
            text!(
                "{broker} cannot be reached: {why}.",
                broker = broker.to_owned(),
                why = why.clone()
            ),
            text!("Check this machine's network."),
        ),
        Lost::Tls { why } => (
            "broker_tls",
            text!(
                "No secured connection to {broker} came about: {why}.",
                broker = broker.to_owned(),
                why = why.clone()
            ),
            text!(
                "Check that `ca_file` is the authority of the broker's certificate, that the certificate is for the name in `address`, and that the broker speaks TLS at that port."
            ),
        ),
        Lost::NotLetIn { code } => (
            "broker_login",
            text!(
                "The broker at {broker} does not let the daemon in (reason {code}).",
                broker = broker.to_owned(),
                code = reason_code(*code)
            ),
            text!(
                "Correct `user` and the password in `password_file`, or the broker's list of users."
            ),
        ),
        Lost::NotTaken { code } => (
            "broker_not_taken",
            text!(
                "The broker at {broker} does not take the connection (reason {code}).",
                broker = broker.to_owned(),
                code = reason_code(*code)
            ),
            text!(
                "See what the broker's log says; it must speak MQTT 5, keep retained messages and take quality of service 1."
            ),
        ),
        Lost::Replaced => (
            "broker_replaced",
            text!(
                "Another client came to {broker} with the identifier of this daemon.",
                broker = broker.to_owned()
            ),
            text!("Give each daemon a `client_id` and a `prefix` of its own in the configuration."),
        ),
        Lost::SentAway { code } => (
            "broker_sent_away",
            text!(
                "The broker at {broker} ended the connection (reason {code}).",
                broker = broker.to_owned(),
                code = reason_code(*code)
            ),
            text!(
                "It is called again by itself. If it happens often, see what the broker's log says."
            ),
        ),
        Lost::BrokeOff => (
            "broker_broke_off",
            text!(
                "The connection to the broker at {broker} broke off.",
                broker = broker.to_owned()
            ),
            text!("It is called again by itself. If it stays away, see whether the broker runs."),
        ),
        Lost::Silent => (
            "broker_silent",
            text!(
                "The broker at {broker} no longer answers.",
                broker = broker.to_owned()
            ),
            text!(
                "It is called again by itself. If it stays away, check the network between both."
            ),
        ),
        Lost::Stuck => (
            "broker_stuck",
            text!(
                "The broker at {broker} takes nothing any more.",
                broker = broker.to_owned()
            ),
            text!(
                "It is called again by itself. If it happens often, the broker or the network is too slow."
            ),
        ),
        Lost::NotUnderstood { why } => (
            "broker_not_understood",
            text!(
                "What answers at {broker} is not understood: {why}.",
                broker = broker.to_owned(),
                why = why.clone()
            ),
            text!(
                "Check that an MQTT 5 broker listens at that port, and whether it wants TLS: then write `tls = true`."
            ),
        ),
    }
}

fn untaken_trouble(topic: &str, code: Option<u8>) -> TroubleView {
    let what = if let Some(code) = code {
        text!(
            "The broker did not take the finding {topic} (reason {code}).",
            topic = topic.to_owned(),
            code = reason_code(code)
        )
    } else {
        text!(
            "The finding {topic} is larger than the broker takes.",
            topic = topic.to_owned()
        )
    };
    trouble(
        "finding_not_taken",
        what,
        text!(
            "Whoever listens to the broker does not have it. On the page and in the visit it stands."
        ),
        text!("Give this user the right to write under the prefix, in the broker's settings."),
    )
}

fn given_up_trouble(given_up: u64) -> TroubleView {
    trouble(
        "findings_given_up",
        text!(
            "The broker was away so long that {given_up} of the oldest findings were given up.",
            given_up
        ),
        text!("Whoever listens to the broker does not have them. In the visit they stand."),
        text!("Export the visit if they are wanted elsewhere."),
    )
}
