//! What the operator measured otherwise.

use hubplumb_core::estimate::Estimate;

/// A figure, and whether somebody measured it or it is only configured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// The figure with its uncertainty.
    pub estimate: Estimate,
    /// Was it entered since the daemon started?
    pub entered: bool,
}

impl Known {
    /// From the configuration, or its default.
    pub const fn configured(estimate: Estimate) -> Self {
        Self {
            estimate,
            entered: false,
        }
    }

    /// Entered on the page.
    pub const fn entered(estimate: Estimate) -> Self {
        Self {
            estimate,
            entered: true,
        }
    }
}
