//! What the wire says of publishing.

use serde::Serialize;
use utoipa::ToSchema;

use super::views::TroubleView;

/// Is the broker there to which findings and live angles are published?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BrokerState {
    /// Nothing is to be published.
    #[default]
    Off,
    /// It is called for the first time.
    Calling,
    /// It is there.
    Up,
    /// It is not there, see `trouble`; it is called again by and by.
    Down,
}

/// How publishing stands.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, ToSchema)]
pub struct PublishingView {
    /// Is the broker there?
    pub state: BrokerState,
    /// The broker, `host:port`; none where nothing is to be published.
    pub broker: Option<String>,
    /// Findings that wait for it to come back.
    pub waiting: usize,
    /// Findings that were given up because too many waited.
    pub given_up: u64,
    /// What is wrong.
    pub trouble: Option<TroubleView>,
}
