//! What was found before the daemon was started, and what becomes of it.

use std::sync::Arc;

use hubplumb_core::angle::Angle;
use hubplumb_core::mounting::BoardAxis;

use super::standing::{FloorKept, Standing};
use super::{LevelError, LevelTask};
use crate::mount::Mount;

/// What an earlier life of the daemon found, and when it was last added to.
#[derive(Debug, Clone, PartialEq)]
pub struct Earlier {
    /// RFC 3339.
    pub at: String,
    /// What it is.
    pub standing: Standing,
}

impl LevelTask {
    /// Takes what was found before for true, as far as nothing newer is known and its boards are
    /// there. The rest is offered on.
    pub(super) fn go_on(&mut self) -> Result<(), LevelError> {
        let mut earlier = self.now.earlier.take().ok_or(LevelError::NothingEarlier)?;
        let standing = &mut earlier.standing;
        if let Some(kept) = standing.floor.take()
            && FloorKept::of(&self.now.floor).is_none()
        {
            self.now.floor = kept.floor();
        }
        let body = self
            .given
            .on(Mount::Body)
            .map(|body| body.facts().id.clone());
        let same_body = body.is_some() && body == standing.body;
        if same_body
            && let Some((axis, standard_rad)) = standing.forward.take()
            && self.now.forward.is_none()
        {
            self.now.forward = Some((BoardAxis::from(axis), Angle::from_rad(standard_rad)));
        }
        for (mount, run_out) in &mut self.now.run_outs {
            let name = mount.name();
            let is_its = standing
                .wheels
                .get(name)
                .is_some_and(|kept| kept.board == run_out.board);
            if !is_its || self.running.contains_key(mount) {
                continue;
            }
            let result = standing
                .wheels
                .remove(name)
                .zip(mount.side())
                .and_then(|(kept, side)| kept.result(side));
            if let Some(mut result) = result.filter(|_| run_out.result.is_none()) {
                result.body = result.body.filter(|_| same_body);
                run_out.result = Some(Arc::new(result));
            }
        }
        self.now.earlier = Some(earlier).filter(|earlier| !earlier.standing.is_empty());
        self.settle_boards();
        Ok(())
    }

    /// Nothing from before counts for the board on that mount any more.
    pub(super) fn forget_earlier(&mut self, mount: Mount) {
        let Some(earlier) = &mut self.now.earlier else {
            return;
        };
        if mount == Mount::Body {
            earlier.standing.leave_body();
        } else {
            earlier.standing.wheels.remove(mount.name());
        }
        if earlier.standing.is_empty() {
            self.now.earlier = None;
        }
    }
}

#[cfg(test)]
mod tests;
