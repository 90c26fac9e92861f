//! One movement of one thing, from rest to rest.

use super::script::Slip;
use crate::car::{Car, CarState, Wheel};
use crate::jet::Jet;

/// Joint positions while nothing moves.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Still {
    pub(super) steer_rad: f64,
    pub(super) rolled_rad: [f64; 4],
    pub(super) jacked: [f64; 4],
    pub(super) travel_m: f64,
    pub(super) rocked_rad: [[f64; 2]; 4],
}

/// What moves during a segment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Motion {
    Steer {
        to_rad: f64,
        brake_locked: bool,
        slip: Option<Slip>,
    },
    Roll {
        wheel: Wheel,
        by_rad: f64,
    },
    Travel {
        distance_m: f64,
    },
    Jack {
        wheel: Wheel,
        to: f64,
    },
    /// A wheel rocked within its play; 0 leaning out, 1 pointing in.
    Rock {
        wheel: Wheel,
        way: usize,
        to_rad: f64,
    },
    /// No joint moves; something else of the car is changed.
    Nothing,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Segment {
    pub(super) start_s: f64,
    pub(super) over_s: f64,
    pub(super) base: Still,
    pub(super) motion: Motion,
}

impl Segment {
    pub(super) fn state(&self, car: &Car, t_s: f64) -> CarState {
        let since = t_s - self.start_s;
        let moved = |from: f64, to: f64| Jet::minimum_jerk(from, to, since, self.over_s);
        let base = &self.base;
        let mut state = CarState {
            steer: Jet::constant(base.steer_rad),
            axis_turn: [Jet::default(); 2],
            rolled: base.rolled_rad.map(Jet::constant),
            jacked: base.jacked.map(Jet::constant),
            travel_m: Jet::constant(base.travel_m),
            rocked: base.rocked_rad.map(|ways| ways.map(Jet::constant)),
        };
        match self.motion {
            Motion::Steer { to_rad, .. } => state.steer = moved(base.steer_rad, to_rad),
            Motion::Roll { wheel, by_rad } => {
                let from = base.rolled_rad[wheel.index()];
                state.rolled[wheel.index()] = moved(from, from + by_rad);
            }
            Motion::Travel { distance_m } => {
                state.travel_m = moved(base.travel_m, base.travel_m + distance_m);
                for wheel in Wheel::ALL {
                    let from = base.rolled_rad[wheel.index()];
                    let by = distance_m / car.corner(wheel).radius_m;
                    state.rolled[wheel.index()] = moved(from, from + by);
                }
            }
            Motion::Jack { wheel, to } => {
                state.jacked[wheel.index()] = moved(base.jacked[wheel.index()], to);
            }
            Motion::Rock { wheel, way, to_rad } => {
                let from = base.rocked_rad[wheel.index()][way];
                state.rocked[wheel.index()][way] = moved(from, to_rad);
            }
            Motion::Nothing => {}
        }
        state.axis_turn = car.axis_turns(state.steer);
        if let Motion::Steer {
            brake_locked, slip, ..
        } = self.motion
        {
            if !brake_locked {
                self.roll_with_steering(car, &mut state);
            }
            if let Some(slip) = slip {
                // The middle fifth of the move.
                let within = Jet::minimum_jerk(
                    0.0,
                    slip.by_deg.to_radians(),
                    since - 0.4 * self.over_s,
                    0.2 * self.over_s,
                );
                let index = slip.wheel.index();
                state.rolled[index] = state.rolled[index] + within;
            }
        }
        state
    }

    /// With the brake free the tyre rolls round the foot of its steering axis: steering to the
    /// left takes the left contact point back and the right one forward, `r_k Δδ` on the way and
    /// `r_k Δδ / R` about the spindle (geometry reference §3, "unlocked"). A jacked wheel hangs.
    fn roll_with_steering(&self, car: &Car, state: &mut CarState) {
        let before = car.axis_turns(Jet::constant(self.base.steer_rad));
        for wheel in [Wheel::FrontLeft, Wheel::FrontRight] {
            let index = wheel.index();
            let corner = car.corner(wheel);
            if self.base.jacked[index] > 0.0 {
                continue;
            }
            if let Some(ground) = corner.ground_offsets() {
                let per_turn = -wheel.side().sign() * ground.steering_offset_m / corner.radius_m;
                let turned = state.axis_turn[index] - before[index];
                state.rolled[index] = state.rolled[index] + turned * per_turn;
            }
        }
    }
}
