//! The ways on which boards are looked for.

use std::future::Future;

use super::found::FoundBoard;
use crate::config::BoardConfig;
use crate::link::ble::RadioTrouble;
use crate::link::{PortTree, foreseen};

/// One way. It looks without opening anything that a board could notice.
pub(super) trait Search {
    /// What is there now.
    fn look(self) -> impl Future<Output = Vec<FoundBoard>> + Send;
}

/// Serial ports.
pub(super) struct Serial {
    tree: PortTree,
}

impl Serial {
    pub(super) fn new(tree: PortTree) -> Self {
        Self { tree }
    }
}

impl Search for Serial {
    async fn look(self) -> Vec<FoundBoard> {
        let ports = tokio::task::spawn_blocking(move || {
            let ports = self.tree.ports().into_iter();
            ports
                .map(|port| {
                    let refused = foreseen(&port.node);
                    FoundBoard::of_port(port, refused)
                })
                .collect()
        });
        ports.await.unwrap_or_default()
    }
}

/// What a configuration names and nobody else found: ports by their path, and boards of
/// which no more can be known than whether they answer.
pub(super) struct Configured<'a> {
    boards: &'a [BoardConfig],
    radio: Option<&'a RadioTrouble>,
}

impl<'a> Configured<'a> {
    pub(super) fn new(boards: &'a [BoardConfig], radio: Option<&'a RadioTrouble>) -> Self {
        Self { boards, radio }
    }
}

impl Search for Configured<'_> {
    async fn look(self) -> Vec<FoundBoard> {
        let found = |board| FoundBoard::of_config(board, self.radio);
        self.boards.iter().map(found).collect()
    }
}
