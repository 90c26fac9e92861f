//! Why there is no connection to the broker.

use std::path::PathBuf;

/// Why there is no connection to the broker, or no more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lost {
    /// The file of the password cannot be read.
    PasswordUnread {
        /// The file.
        file: PathBuf,
        /// What the system says.
        why: String,
    },
    /// Others than its owner can read the file of the password.
    PasswordOpen {
        /// The file.
        file: PathBuf,
        /// Its rights.
        mode: u32,
    },
    /// The file of the certificate authority cannot be used.
    Authority {
        /// The file.
        file: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// Nobody knows the broker's name.
    NoName {
        /// What the system says.
        why: String,
    },
    /// Nothing listens at that address.
    Refused,
    /// Nobody answered in time.
    NoAnswer,
    /// The network does not lead there.
    Unreachable {
        /// What the system says.
        why: String,
    },
    /// No secured connection came about.
    Tls {
        /// What the library says.
        why: String,
    },
    /// The broker does not let this user in.
    NotLetIn {
        /// Its reason code (MQTT 5, 3.2.2.2).
        code: u8,
    },
    /// The broker does not take the connection, for another reason.
    NotTaken {
        /// Its reason code (MQTT 5, 3.2.2.2).
        code: u8,
    },
    /// Another client came with the same identifier.
    Replaced,
    /// The broker ended the connection and said why.
    SentAway {
        /// Its reason code (MQTT 5, 3.14.2.1).
        code: u8,
    },
    /// The connection broke off.
    BrokeOff,
    /// The broker no longer answers.
    Silent,
    /// The broker no longer takes what is sent.
    Stuck,
    /// What answers does not speak MQTT 5.
    NotUnderstood {
        /// What the library says.
        why: String,
    },
}

/// A reason code as MQTT writes it.
pub(crate) fn written(code: u8) -> String {
    format!("0x{code:02X}")
}
