//! What can be wrong with a scenario file.

use thiserror::Error;

use crate::motion::ScriptError;

/// A scenario that cannot be run.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ScenarioError {
    /// Not TOML, or a key that does not belong there; the text names line and key.
    #[error("the file cannot be read as a scenario: {text}")]
    Toml {
        /// What the parser says.
        text: String,
    },
    /// A value that makes no sense.
    #[error("{key}: {problem}; {remedy}")]
    Value {
        /// The key as it stands in the file.
        key: String,
        /// What is wrong.
        problem: String,
        /// What to write instead.
        remedy: String,
    },
    /// A step that cannot be done.
    #[error(transparent)]
    Script(#[from] ScriptError),
}

impl ScenarioError {
    pub(super) fn value(
        key: impl Into<String>,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self::Value {
            key: key.into(),
            problem: problem.into(),
            remedy: remedy.into(),
        }
    }
}
