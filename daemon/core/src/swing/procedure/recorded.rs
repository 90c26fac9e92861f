//! The rests of a swing as the windows of a recording of it.

use super::{Angle, Side, SteerSource, SwingProcedure, WheelWatch};
use crate::session::{Window, WindowKind};
use crate::swing::watch::WheelRest;

impl SwingProcedure {
    /// Windows by which a recording of the calibrated readings is solved as
    /// this swing was: the rests taken so far, the present one included once
    /// it counts, and the moves between them.
    pub fn windows(&self) -> Vec<Window> {
        let mut windows: Vec<Window> = Vec::new();
        for (index, straight) in self.straight.iter().enumerate() {
            let rests: Vec<(Side, WheelRest)> = self
                .watches
                .iter()
                .filter_map(|watch| Some((watch.setup.wheel.side, watch.rest(index)?)))
                .collect();
            // Wheels rest together and count from and to a reading apart: what any of
            // them counted leaves out no reading of another.
            let from = rests.iter().map(|(_, rest)| rest.measure.from).min();
            let to = rests.iter().map(|(_, rest)| rest.measure.to).max();
            let (Some(from), Some(to)) = (from, to) else {
                continue;
            };
            let mut window = Window::of_rest(from, to, *straight);
            if index > 0 && self.setup.steer_source == SteerSource::Plates {
                for (side, rest) in &rests {
                    // As the solver takes it: straight ahead is zero unless somebody read otherwise.
                    window.plates[usize::from(*side == Side::Right)] =
                        rest.plate.or(straight.then_some(Angle::ZERO));
                }
            }
            if let Some(before) = windows.last() {
                windows.push(Window {
                    from: before.to,
                    to: window.from,
                    kind: WindowKind::Move,
                    corner: None,
                    plates: [None, None],
                });
            }
            windows.push(window);
        }
        windows
    }

    /// Steer of left and right wheel at a rest, + left, with one sigma, rad.
    pub(crate) fn steers(&self, index: usize) -> [Option<[f64; 2]>; 2] {
        let mut steers = [None, None];
        for watch in &self.watches {
            let noise_rad = match self.setup.steer_source {
                SteerSource::Plates => self.setup.plate_standard.rad(),
                // From turn to turn it adds up.
                SteerSource::Gyro => (0..=index)
                    .filter_map(|earlier| watch.rest(earlier))
                    .map(|rest| rest.turn_noise.rad().powi(2))
                    .sum::<f64>()
                    .sqrt(),
            };
            let straight = self.straight.get(index).copied().unwrap_or(false);
            let steer = watch.rest(index).and_then(|rest| watch.rest_steer(&rest));
            // A plate is zero straight ahead unless somebody read otherwise.
            let steer = steer
                .or((straight && self.setup.steer_source == SteerSource::Plates)
                    .then_some(Angle::ZERO));
            steers[usize::from(watch.setup.wheel.side == Side::Right)] =
                steer.map(|steer| [steer.rad(), noise_rad]);
        }
        steers
    }

    /// Is a first rest held or taken?
    pub fn has_begun(&self) -> bool {
        !self.straight.is_empty() || self.watches.iter().any(WheelWatch::is_resting)
    }
}
