//! Why a Bluetooth board is not there.

use thiserror::Error;
use uuid::Uuid;

use super::radio::RadioTrouble;

/// Why a Bluetooth board is not there.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BleRefusal {
    /// The radio does not do what it is asked.
    #[error(transparent)]
    Radio(#[from] RadioTrouble),
    /// The board was not seen.
    #[error("{wanted} is not seen")]
    NotSeen {
        /// Which board.
        wanted: String,
    },
    /// More than one board has the name.
    #[error("{name} names more than one board: {}", addresses.join(", "))]
    Namesakes {
        /// The name.
        name: String,
        /// Addresses of the boards that have it.
        addresses: Vec<String>,
    },
    /// What was told is not offered; or none of what is offered can be taken
    /// for the readings, or more than one thing can.
    #[error("nothing tells which characteristic of {board} its readings come by")]
    NoCharacteristic {
        /// Which board, without the characteristic.
        board: String,
        /// The characteristic that was told, and is not there or does not notify.
        told: Option<Uuid>,
        /// The characteristics that notify.
        notifying: Vec<Uuid>,
    },
    /// The connection ended.
    #[error("the connection to {board} ended")]
    Ended {
        /// Which board.
        board: String,
    },
}
