//! A board that is not where it usually is: on another hub, or on a bar across a rim.

use nalgebra::{Matrix3, Rotation3, Vector3};

use super::carried::Way;
use super::hand::turn_back;
use super::script::Step;
use super::script_error::StepProblem;
use super::timeline::{Timeline, positive};
use crate::board::Placement;
use crate::car::{Mount, MovingFrame, Wheel};

/// Where a board is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Place {
    /// Strapped to its own mount.
    Own,
    /// Strapped to the hub of another wheel.
    Hub(Wheel),
    /// On a bar held across a rim: how it sits on the knuckle.
    Bar {
        wheel: Wheel,
        rotation: Rotation3<f64>,
        offset_m: Vector3<f64>,
    },
    /// In a block that a hand holds against a rim: how it sits on the knuckle, and how it came there.
    Block {
        wheel: Wheel,
        rotation: Rotation3<f64>,
        offset_m: Vector3<f64>,
        way: Way,
    },
}

/// A board brought somewhere, from rest to rest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Holding {
    at_s: f64,
    over_s: f64,
    mount: Mount,
    place: Place,
}

/// From the wheel centre out to a bar across the rim, m.
const BAR_OUT_M: f64 = 0.1;

/// The turn of a board that goes to the other side of the car with its face still outward.
fn turned_round(from: Option<Wheel>, to: Wheel) -> Rotation3<f64> {
    let same = from.is_none_or(|from| from.side() == to.side());
    let angle = if same { 0.0 } else { std::f64::consts::PI };
    Rotation3::from_axis_angle(&Vector3::z_axis(), angle)
}

impl Timeline {
    pub(super) fn push_board(&mut self, step: &Step) -> Result<(), StepProblem> {
        match *step {
            Step::HoldBar {
                mount,
                wheel,
                reversed,
                over_s,
            } => {
                let place = self.bar(mount, wheel, reversed)?;
                self.push_place(mount, place, over_s)
            }
            Step::CarryBlock {
                mount,
                wheel,
                to_edge,
                turned,
                lean_deg,
                bump_g,
                over_s,
            } => {
                super::timeline::finite(lean_deg, "the lean")?;
                super::timeline::finite(bump_g, "the bump")?;
                let blocks = self.held.iter().filter_map(|held| match held.place {
                    Place::Block { wheel, .. } => Some(wheel),
                    _ => None,
                });
                let last = blocks.clone().next_back();
                let way = Way {
                    number: blocks.count(),
                    lean_rad: lean_deg.to_radians(),
                    is_round: last.is_some_and(|last| last != wheel),
                };
                let place = self.block_on(mount, (wheel, to_edge), turned, way)?;
                if bump_g > 0.0 {
                    self.push_bump(mount, bump_g, self.end_s + 0.5 * over_s);
                }
                self.push_place(mount, place, over_s)
            }
            Step::MoveBoard {
                mount,
                wheel,
                over_s,
            } => {
                self.placement(mount)?;
                if mount.wheel().is_none() {
                    return Err(StepProblem::NoHub { mount });
                }
                self.push_place(mount, Place::Hub(wheel), over_s)
            }
            // Every other step is done before it comes here.
            _ => Ok(()),
        }
    }

    /// A hand straps a board on its own mount again, exactly as it was.
    pub(super) fn push_strapping(&mut self, mount: Mount, over_s: f64) -> Result<(), StepProblem> {
        let last = self.held.iter().rfind(|held| held.mount == mount);
        if last.is_some_and(|held| held.place != Place::Own) {
            return self.push_place(mount, Place::Own, over_s);
        }
        let strapped_s = last.map_or(0.0, |held| held.at_s);
        let turns = self.hand_turns.iter();
        let back = turn_back(turns.filter(|turn| turn.mount == mount && turn.at_s >= strapped_s));
        self.push_hand(mount, back, over_s)
    }

    fn push_place(&mut self, mount: Mount, place: Place, over_s: f64) -> Result<(), StepProblem> {
        positive(over_s)?;
        self.held.push(Holding {
            at_s: self.end_s,
            over_s,
            mount,
            place,
        });
        self.end_s += over_s;
        Ok(())
    }

    /// A bar upright across the rim as it stands now, the rim's run-out and the bar's seat with it.
    fn bar(&self, mount: Mount, wheel: Wheel, reversed: bool) -> Result<Place, StepProblem> {
        let placement = self.placement(mount)?;
        let (state, car) = (self.state(self.end_s), self.car());
        let knuckle = car.knuckle_frame(wheel, &state);
        let hub = car.hub_frame(wheel, &state);
        let s = wheel.side().sign();
        let normal = hub.to_level * car.rim_normal(wheel).as_ref();
        let y = normal * s;
        let z = (Vector3::z() - y * y.z).normalize();
        let upright = Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[y.cross(&z), y, z]));
        let end_for_end = if reversed { std::f64::consts::PI } else { 0.0 };
        let on_level = upright
            * Rotation3::from_axis_angle(&Vector3::y_axis(), end_for_end)
            * Rotation3::from_axis_angle(&Vector3::x_axis(), -s * self.bar_seat_rad())
            * turned_round(mount.wheel(), wheel)
            * placement.rotation;
        let back = knuckle.to_level.inverse();
        Ok(Place::Bar {
            wheel,
            rotation: back * on_level,
            offset_m: back * (normal * BAR_OUT_M),
        })
    }

    pub(super) fn placement(&self, mount: Mount) -> Result<Placement, StepProblem> {
        self.placed
            .iter()
            .find(|(placed, _)| *placed == mount)
            .map(|(_, placement)| *placement)
            .ok_or(StepProblem::NoBoard { mount })
    }

    /// The frame of a board that is usually placed so on its mount, wherever it is at an instant.
    pub fn board_frame(&self, mount: Mount, placement: &Placement, t_s: f64) -> MovingFrame {
        let mut moves = self.held.iter().filter(|held| held.mount == mount);
        let (mut before, mut last) = (None, None);
        while let Some(held) = moves.next().filter(|held| held.at_s <= t_s) {
            (before, last) = (last, Some(held));
        }
        let Some(last) = last else {
            return self.placed_frame(mount, placement, None, (0.0, t_s), t_s);
        };
        let now = self.placed_frame(mount, placement, Some(last), (last.at_s, t_s), t_s);
        let since_s = t_s - last.at_s;
        let frame = if since_s >= last.over_s {
            now
        } else {
            let from_s = before.map_or(0.0, |held: &Holding| held.at_s);
            self.placed_frame(mount, placement, before, (from_s, last.at_s), t_s)
                .towards(&now, since_s, last.over_s)
        };
        match last.place {
            Place::Block { way, .. } => self.in_hand(frame, way, (t_s, since_s, last.over_s)),
            _ => frame,
        }
    }

    /// The board's frame in one place, with the hand's turns between two instants.
    fn placed_frame(
        &self,
        mount: Mount,
        placement: &Placement,
        held: Option<&Holding>,
        (from_s, until_s): (f64, f64),
        t_s: f64,
    ) -> MovingFrame {
        let strapped = |mount: Mount, turn: Rotation3<f64>| {
            self.mount_frame(mount, t_s)
                .offset(&(turn * placement.lever_m))
                .mounted(&(turn * placement.rotation))
        };
        let frame = match held.map(|held| held.place) {
            None | Some(Place::Own) => strapped(mount, Rotation3::identity()),
            Some(Place::Hub(wheel)) => strapped(wheel.into(), turned_round(mount.wheel(), wheel)),
            Some(
                Place::Bar {
                    wheel,
                    rotation,
                    offset_m,
                }
                | Place::Block {
                    wheel,
                    rotation,
                    offset_m,
                    ..
                },
            ) => self
                .frame_of(t_s, |car, state| car.knuckle_frame(wheel, state))
                .offset(&offset_m)
                .mounted(&rotation),
        };
        self.hand_turns
            .iter()
            .filter(|turn| turn.mount == mount && (from_s..=until_s).contains(&turn.at_s))
            .fold(frame, |frame, turn| turn.beyond(frame, t_s))
    }
}
