//! Why a board does not talk: what happened, what it means, what to do.

use super::link_ble::ble_refused;
use super::link_iio::iio_refused;
use super::link_net::net_refused;
use super::trouble;
use crate::http::views::TroubleView;
use crate::link::{Holder, LinkState, LinkStatus, Membership, OpenError, Permission, Unreadable};
use crate::text;
use crate::text::Text;

/// What is wrong with a link; none while readings arrive.
pub fn link_trouble(status: &LinkStatus) -> Option<TroubleView> {
    match &status.state {
        LinkState::Live => None,
        LinkState::Listening => Some(trouble(
            "listening",
            text!(
                "{port} is open and is being listened to.",
                port = &status.port
            ),
            text!("Nothing has been understood yet."),
            text!("Wait a few seconds: speeds and formats are tried one after the other."),
        )),
        LinkState::Silent => Some(silent(status)),
        LinkState::Absent { wanted } => Some(trouble(
            "port_absent",
            text!("{wanted} is not there.", wanted),
            text!("The cable is out, the board is off, or the port has another name."),
            text!(
                "Put the cable back: the board is picked up by itself. If it stays away, `hubplumb boards` shows what is connected."
            ),
        )),
        LinkState::Unreadable(evidence) => Some(unreadable(status, evidence)),
        LinkState::Refused(error) => Some(open_trouble(error)),
    }
}

fn silent(status: &LinkStatus) -> TroubleView {
    let asked = status
        .speech
        .as_ref()
        .filter(|speech| speech.format.question().is_some());
    if let Some(speech) = asked {
        return trouble(
            "silent",
            text!(
                "The board at {port} is asked in `{format}` and does not answer.",
                port = &status.port,
                format = speech.format.name()
            ),
            text!(
                "The board is off, set to another speed or address, or one of its two wires is not connected."
            ),
            text!(
                "Check its power, both wires, and `baud` and the address in the configuration; it is asked on."
            ),
        );
    }
    trouble(
        "silent",
        text!("{port} is open and nothing arrives.", port = &status.port),
        text!(
            "The board is off, asleep, its transmit wire is not connected, or it sends to another address; or it speaks only when it is asked."
        ),
        text!(
            "Check the board's power and its TX wire, on a network the address and port in its sketch; and name its format in the configuration if it has to be asked (`modbus`, `bno055`); the port is watched on."
        ),
    )
}

fn unreadable(status: &LinkStatus, evidence: &Unreadable) -> TroubleView {
    match evidence {
        // Not a wrong speed: whole lines of numbers arrive, and only their meaning is missing.
        Unreadable::OnlyBadFrames {
            mostly: Some("no_header"),
            ..
        } => trouble(
            "no_header",
            text!(
                "Lines of numbers arrive at {port}, and no header says what they are.",
                port = &status.port
            ),
            text!(
                "The board prints its header when it starts, and it started before it was listened to."
            ),
            text!(
                "Restart the board, or name its columns in the configuration, e.g. `columns = [\"t_us\", \"ax\", \"ay\", \"az\"]`."
            ),
        ),
        Unreadable::OnlyBadFrames {
            format,
            mostly: Some("declined"),
            ..
        } => trouble(
            "declined",
            text!(
                "The board at {port} answers that it cannot do what it is asked in `{format}`.",
                port = &status.port,
                format
            ),
            text!(
                "Its wires, speed and address are right; it has other registers, or is in another mode."
            ),
            text!(
                "Compare the registers in the configuration with the board's data sheet, or set the board up again."
            ),
        ),
        Unreadable::OnlyBadFrames {
            mostly: Some("untold_sentence"),
            ..
        } => trouble(
            "untold_sentence",
            text!(
                "Angles arrive at {port} in a sentence whose order differs from maker to maker.",
                port = &status.port
            ),
            text!("Pitch and roll would be exchanged if it were guessed."),
            text!("Tell the order in the configuration; docs/formats/nmea.md shows how."),
        ),
        Unreadable::OnlyBadFrames {
            baud,
            format,
            mostly,
        } => {
            let why = mostly.map_or_else(
                || text!("not even the end of a frame is found"),
                |reason| text!("mostly {reason}", reason = reason.replace('_', " ")),
            );
            trouble(
                "wrong_baud_or_format",
                text!(
                    "wrong baud or wrong format: {port}{at} gives only bad frames of `{format}` ({why}).",
                    port = &status.port,
                    at = baud.map_or(Text::empty(), |baud| text!(" at {baud} baud", baud)),
                    format = format,
                    why
                ),
                text!("Bytes arrive, and none of them makes a reading."),
                text!(
                    "Correct `baud` or `format` of this board in the configuration, or take both out to have them found by listening."
                ),
            )
        }
        Unreadable::NoFormatFits { bauds, sample } => {
            let bauds: Vec<_> = bauds.iter().map(u32::to_string).collect();
            trouble(
                "unknown_format",
                text!(
                    "Bytes arrive at {port}, and no known format explains them{at}; they begin {sample}.",
                    port = &status.port,
                    at = if bauds.is_empty() {
                        Text::empty()
                    } else {
                        text!(" at {bauds} baud", bauds = bauds.join(", "))
                    },
                    sample = printable(sample)
                ),
                text!(
                    "The board speaks a format that is not known, or a speed that was not tried."
                ),
                text!(
                    "Set the board to CSV lines, or name its `baud` and `format` in the configuration."
                ),
            )
        }
    }
}

/// Bytes as a person can read them.
fn printable(bytes: &[u8]) -> String {
    let text = bytes
        .iter()
        .flat_map(|byte| std::ascii::escape_default(*byte))
        .map(char::from)
        .collect::<String>();
    format!("\"{text}\"")
}

/// A service that takes ports of its own accord.
pub fn grabber_trouble(grabber: &Holder) -> TroubleView {
    trouble(
        "port_grabber",
        text!(
            "`{command}` (process {pid}) is running.",
            command = &grabber.command,
            pid = grabber.pid
        ),
        text!(
            "It looks into new ports by itself, and may send commands to a board or keep its port."
        ),
        text!(
            "Install docs/boards/60-hubplumb.rules, which tells ModemManager to leave boards alone, or stop the service while you measure."
        ),
    )
}

/// Why a port cannot be opened.
pub fn open_trouble(error: &OpenError) -> TroubleView {
    match error {
        OpenError::Absent { wanted } => trouble(
            "port_absent",
            text!("{wanted} is not there.", wanted),
            text!("The cable is out or the board is off."),
            text!("Put the cable back: the board is picked up by itself."),
        ),
        OpenError::Ambiguous { id, nodes } => trouble(
            "ambiguous",
            text!(
                "{id} names more than one port: {nodes}.",
                id,
                nodes = nodes.join(", ")
            ),
            text!(
                "The adapters share one serial number, so it does not tell which board is meant."
            ),
            text!(
                "Name the board by the socket it is plugged into: `hubplumb boards` shows those names."
            ),
        ),
        OpenError::Denied { port, permission } => denied(port, permission),
        OpenError::Busy { port, holder } => {
            let (who, stop) = holder.as_ref().map_or_else(
                || {
                    (
                        text!("another program"),
                        text!("Find the program with `fuser -v` on the port and end it"),
                    )
                },
                |holder| {
                    (
                        text!(
                            "`{command}` (process {pid})",
                            command = &holder.command,
                            pid = holder.pid
                        ),
                        text!("End it, for instance with `kill {pid}`", pid = holder.pid),
                    )
                },
            );
            trouble(
                "port_in_use",
                text!("{port} is in use by {who}.", port, who),
                text!("A port can be read by one program only."),
                text!(
                    "{stop}; modem and GPS services that grab ports have to be told to leave it alone. The port is tried again by itself.",
                    stop
                ),
            )
        }
        OpenError::NotSerial { port, why } => trouble(
            "not_a_serial_port",
            text!("{port} is not a serial port: {why}.", port, why),
            text!("There is no board behind it."),
            text!("Name another port in the configuration."),
        ),
        OpenError::Ble(refusal) => ble_refused(refusal),
        OpenError::Net(refusal) => net_refused(refusal),
        OpenError::Iio(refusal) => iio_refused(refusal),
        OpenError::Failed { port, why } => trouble(
            "port_failed",
            text!("{port} cannot be opened: {why}.", port, why),
            text!("The system refuses the port or the speed."),
            text!(
                "Unplug the adapter and plug it in again; check that it can do the configured speed."
            ),
        ),
    }
}

fn denied(port: &str, permission: &Permission) -> TroubleView {
    let Permission {
        group,
        user,
        membership,
        mode,
    } = permission;
    let (stands, remedy) = match membership {
        Membership::Outside => (
            text!("user {user} is not in it", user),
            text!(
                "Run `sudo usermod -aG {group} {user}`, then log out and in again.",
                group,
                user
            ),
        ),
        Membership::NextLogin => (
            text!("user {user} was added to it after this log-in began", user),
            text!("Log out and in again, or restart the service."),
        ),
        Membership::Inside => (
            text!(
                "user {user} is in it, and the port's mode {mode} still does not let it in",
                user,
                mode = format!("{mode:03o}")
            ),
            text!(
                "Add a udev rule, `SUBSYSTEM==\"tty\", SUBSYSTEMS==\"usb\", GROUP=\"{group}\", MODE=\"0660\"`, as /etc/udev/rules.d/60-hubplumb.rules, then plug the board in again.",
                group
            ),
        ),
    };
    trouble(
        "no_permission",
        text!(
            "{port} may not be opened: it belongs to group {group}, and {stands}.",
            port,
            group,
            stands
        ),
        text!("The system lets only that group read the port."),
        remedy,
    )
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::link::Speech;

    fn told(state: LinkState) -> String {
        let status = LinkStatus {
            state,
            ..LinkStatus::new("/dev/ttyUSB0".to_owned())
        };
        let view = link_trouble(&status).unwrap();
        for part in [&view.what, &view.meaning, &view.remedy] {
            assert!(part.ends_with("."), "a whole sentence: {part}");
        }
        format!("{}|{}|{}", view.code, view.what, view.remedy)
    }

    fn check(state: LinkState, parts: &[&str]) {
        let told = told(state);
        for part in parts {
            assert!(told.contains(part), "`{part}` is missing in {told}");
        }
    }

    fn denied_as(membership: Membership) -> LinkState {
        LinkState::Refused(OpenError::Denied {
            port: "/dev/ttyUSB0".to_owned(),
            permission: Permission {
                group: "dialout".to_owned(),
                user: "ada".to_owned(),
                membership,
                mode: 0o600,
            },
        })
    }

    #[test]
    fn a_refused_port_names_group_user_and_fix() {
        check(
            denied_as(Membership::Outside),
            &[
                "no_permission",
                "group dialout",
                "sudo usermod -aG dialout ada",
            ],
        );
        check(
            denied_as(Membership::NextLogin),
            &["group dialout", "after this log-in", "Log out and in again"],
        );
        check(
            denied_as(Membership::Inside),
            &["mode 600", "udev rule", "GROUP=\"dialout\""],
        );
    }

    #[test]
    fn a_port_in_use_names_the_program() {
        let busy = |holder| {
            LinkState::Refused(OpenError::Busy {
                port: "/dev/ttyUSB0".to_owned(),
                holder,
            })
        };
        let holder = Holder {
            pid: 77,
            command: "terminal".to_owned(),
        };
        check(
            busy(Some(holder)),
            &["port_in_use", "`terminal` (process 77)", "kill 77"],
        );
        check(busy(None), &["another program", "fuser"]);
    }

    #[test]
    fn an_unreadable_line_names_speed_format_and_evidence() {
        check(
            LinkState::Unreadable(Unreadable::OnlyBadFrames {
                baud: Some(9600),
                format: "ahrs55",
                mostly: Some("checksum"),
            }),
            &[
                "wrong baud or wrong format:",
                "9600",
                "ahrs55",
                "mostly checksum",
            ],
        );
        check(
            LinkState::Unreadable(Unreadable::OnlyBadFrames {
                baud: Some(9600),
                format: "csv",
                mostly: Some("no_header"),
            }),
            &["no_header", "Restart the board", "columns = "],
        );
        check(
            LinkState::Unreadable(Unreadable::NoFormatFits {
                bauds: vec![9600, 115_200],
                sample: vec![0x80, b'A'],
            }),
            &["unknown_format", "9600, 115200", "\"\\x80A\""],
        );
    }

    #[test]
    fn a_board_that_was_asked_and_declines_or_is_silent_says_so() {
        let silent = LinkStatus {
            state: LinkState::Silent,
            speech: Some(Arc::new(Speech {
                baud: Some(115_200),
                baud_is_guess: false,
                format: hubplumb_protocol::WireFormat::Bno055,
                format_is_guess: false,
                why: None,
            })),
            ..LinkStatus::new("/dev/ttyUSB0".to_owned())
        };
        let told = link_trouble(&silent).unwrap();
        assert!(told.what.contains("is asked in `bno055`"), "{told:?}");
        let declined = |mostly| {
            LinkState::Unreadable(Unreadable::OnlyBadFrames {
                baud: Some(9600),
                format: "modbus",
                mostly: Some(mostly),
            })
        };
        check(declined("declined"), &["modbus", "registers"]);
        check(declined("untold_sentence"), &["order", "nmea.md"]);
    }

    #[test]
    fn every_other_state_but_live_says_what_to_do() {
        check(LinkState::Silent, &["silent", "power", "asked"]);
        check(LinkState::Listening, &["listening"]);
        check(
            LinkState::Absent {
                wanted: "usb-1a86-7523-A17".to_owned(),
            },
            &["port_absent", "usb-1a86-7523-A17"],
        );
        let live = LinkStatus {
            state: LinkState::Live,
            ..LinkStatus::new(String::new())
        };
        assert_eq!(link_trouble(&live), None);
    }
}
