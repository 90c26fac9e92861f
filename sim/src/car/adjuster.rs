//! What a person can turn, shim or slide at a corner, and how it stands.

use nalgebra::Vector3;

use super::names::Wheel;
use super::suspension::Moves;

/// Which bolt of an upper arm's shaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bolt {
    /// The front one.
    Front,
    /// The rear one.
    Rear,
    /// Both alike.
    Both,
}

/// What an eccentric bolt shifts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shifted {
    /// The lower arm, and with it the lower joint.
    LowerArm,
    /// The upper arm.
    UpperArm,
    /// A toe link behind the axle.
    LinkBehind,
    /// A toe link ahead of the axle.
    LinkAhead,
}

/// What an adjuster is; a position of it is in the unit named.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AdjusterKind {
    /// A tie rod, turns; + is longer.
    TieRod {
        /// Thread pitch, m.
        pitch_m: f64,
        /// A sleeve with a left and a right thread, which moves twice as far.
        sleeve: bool,
    },
    /// Shims between the shaft of the upper arm and its bracket, m.
    UpperArmShim {
        /// Under which bolt.
        bolt: Bolt,
        /// A thicker shim moves the arm inward (arm inside the bracket) instead of outward.
        inward: bool,
    },
    /// An eccentric bolt, rad of turn from where it stood.
    Eccentric {
        /// From the middle of the bolt to that of the cam, m.
        throw_m: f64,
        /// Where the cam stood: 0 at mid range, + outward, rad.
        mark_rad: f64,
        /// What it shifts outward.
        shifts: Shifted,
        /// At a wheel that does not steer: from the shifted joint to the one the knuckle turns
        /// about, m.
        lever_m: f64,
    },
    /// A tapered shim behind the whole hub, m at its thickest; its thick side is at the clock
    /// position given with it.
    ContactShim {
        /// Diameter of the plate, m.
        plate_m: f64,
    },
    /// The bolts between knuckle and strut, rad; + is top out.
    StrutBolt,
}

impl AdjusterKind {
    /// What a position of 1 in a script (turn, mm or degree) is in the simulation's unit.
    pub(crate) fn unit(&self) -> f64 {
        match self {
            Self::TieRod { .. } => 1.0,
            Self::UpperArmShim { .. } | Self::ContactShim { .. } => 1e-3,
            Self::Eccentric { .. } | Self::StrutBolt => 1.0_f64.to_radians(),
        }
    }
}

/// One adjuster.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjuster {
    /// At which wheel.
    pub wheel: Wheel,
    /// What it is called in scripts; once per wheel.
    pub name: String,
    /// What it is.
    pub kind: AdjusterKind,
    /// Lost motion when the direction changes, in the unit of its position.
    pub backlash: f64,
    /// Share of a change that shows only after the car was bounced, 0 to 1.
    pub unsettled: f64,
}

/// How one adjuster stands.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Stand {
    /// As the hand has set it.
    pub(super) set: f64,
    /// What of it reaches the part.
    reached: f64,
    /// The same when the car was last bounced.
    settled: f64,
    /// Where the thick side of a contact shim is: 0 top, + towards the front, rad.
    clock_rad: f64,
}

impl Stand {
    pub(super) fn turn(&mut self, by: f64, clock_rad: Option<f64>, backlash: f64) {
        self.set += by;
        let half = 0.5 * backlash;
        self.reached = self.reached.clamp(self.set - half, self.set + half);
        if let Some(clock_rad) = clock_rad {
            self.clock_rad = clock_rad;
        }
    }

    pub(super) fn settle(&mut self) {
        self.settled = self.reached;
    }
}

impl Adjuster {
    /// What it moves where it stands.
    pub(super) fn moves(&self, stand: &Stand) -> Moves {
        let shown = stand.reached - self.unsettled * (stand.reached - stand.settled);
        let mut moves = Moves::default();
        match self.kind {
            AdjusterKind::TieRod { pitch_m, sleeve } => {
                moves.tie_rod_m = shown * pitch_m * if sleeve { 2.0 } else { 1.0 };
            }
            AdjusterKind::UpperArmShim { bolt, inward } => {
                let out_m = if inward { -shown } else { shown };
                if bolt != Bolt::Rear {
                    moves.bolts_m[0] = out_m;
                }
                if bolt != Bolt::Front {
                    moves.bolts_m[1] = out_m;
                }
            }
            AdjusterKind::Eccentric {
                throw_m,
                mark_rad,
                shifts,
                lever_m,
            } => {
                let shift_m = throw_m * ((mark_rad + shown).sin() - mark_rad.sin());
                let turn_rad = (shift_m / lever_m).clamp(-1.0, 1.0).asin();
                let steers = self.wheel.is_front();
                match shifts {
                    Shifted::LowerArm if steers => moves.lower_m = Vector3::y() * shift_m,
                    Shifted::UpperArm if steers => moves.upper_m = Vector3::y() * shift_m,
                    Shifted::LowerArm => moves.lean_rad = -turn_rad,
                    Shifted::UpperArm => moves.lean_rad = turn_rad,
                    Shifted::LinkBehind => moves.spindle_toe_rad = turn_rad,
                    Shifted::LinkAhead => moves.spindle_toe_rad = -turn_rad,
                }
            }
            AdjusterKind::ContactShim { plate_m } => {
                let wedge_rad = (shown / plate_m).atan();
                moves.spindle_camber_rad = wedge_rad * stand.clock_rad.cos();
                moves.spindle_toe_rad = -wedge_rad * stand.clock_rad.sin();
            }
            AdjusterKind::StrutBolt => moves.strut_rad = shown,
        }
        moves
    }
}
