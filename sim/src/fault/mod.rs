//! Faults that come and go: what a board, its chip, its clock and its line do wrong, and when.
//!
//! A [`FaultPlan`] is a list of faults with beginning and end in seconds of the simulation. It is
//! written down in a scenario, or drawn from a seed. Two stages play it, both without any input or
//! output: [`SampleStage`] changes what a board measured, [`ByteStage`] what is on its way to the
//! host. Pulled plugs and boards that lie dead are told by [`FaultPlan::down`].

mod bytes;
mod draw;
mod samples;

use std::fmt;

use serde::{Deserialize, Serialize};

pub use bytes::{ByteStage, Carried};
pub use draw::FaultDraw;
pub use samples::{Ranges, SampleStage};

use crate::car::Mount;

/// What goes wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FaultKind {
    /// Pieces are lost on the way: this share of them.
    Drop {
        /// From 0 to 1.
        share: f64,
    },
    /// Everything arrives so much later, in order.
    Delay {
        /// How much, s.
        by_s: f64,
    },
    /// Pieces arrive twice: this share of them.
    Duplicate {
        /// From 0 to 1.
        share: f64,
    },
    /// One bit of a piece is another: in this share of them.
    Corrupt {
        /// From 0 to 1.
        share: f64,
    },
    /// The end of a piece is cut off: in this share of them.
    Truncate {
        /// From 0 to 1.
        share: f64,
    },
    /// Nothing arrives; all of it comes at once at the end.
    Stall,
    /// The board goes on measuring and says nothing.
    Mute,
    /// The plug is pulled. Put in again, the board's clock begins anew.
    Unplug,
    /// The board starts anew: it says nothing meanwhile, and its clock begins anew. The line stays.
    Reset,
    /// Its clock runs faster by so much.
    ClockDrift {
        /// Parts per million.
        ppm: f64,
    },
    /// Its clock jumps by so much at the beginning, and stays there.
    ClockJump {
        /// How much, s; + forward.
        by_s: f64,
    },
    /// The chip is at the end of its range.
    Saturation,
    /// One axis says the same number again and again.
    StuckAxis {
        /// 0 to 2 of the accelerometer, 3 to 5 of the gyro.
        axis: usize,
    },
    /// The board is strapped where another belongs, and that one here.
    Swapped {
        /// The other.
        with: Mount,
    },
    /// A second board talks on the same line, under the same identity.
    Twin {
        /// Where the second one is strapped.
        of: Mount,
    },
}

/// The kinds by their names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FaultName {
    /// [`FaultKind::Drop`].
    Drop,
    /// [`FaultKind::Delay`].
    Delay,
    /// [`FaultKind::Duplicate`].
    Duplicate,
    /// [`FaultKind::Corrupt`].
    Corrupt,
    /// [`FaultKind::Truncate`].
    Truncate,
    /// [`FaultKind::Stall`].
    Stall,
    /// [`FaultKind::Mute`].
    Mute,
    /// [`FaultKind::Unplug`].
    Unplug,
    /// [`FaultKind::Reset`].
    Reset,
    /// [`FaultKind::ClockDrift`].
    ClockDrift,
    /// [`FaultKind::ClockJump`].
    ClockJump,
    /// [`FaultKind::Saturation`].
    Saturation,
    /// [`FaultKind::StuckAxis`].
    StuckAxis,
    /// [`FaultKind::Swapped`].
    Swapped,
    /// [`FaultKind::Twin`].
    Twin,
}

impl FaultName {
    /// Every kind.
    pub const ALL: [Self; 15] = [
        Self::Drop,
        Self::Delay,
        Self::Duplicate,
        Self::Corrupt,
        Self::Truncate,
        Self::Stall,
        Self::Mute,
        Self::Unplug,
        Self::Reset,
        Self::ClockDrift,
        Self::ClockJump,
        Self::Saturation,
        Self::StuckAxis,
        Self::Swapped,
        Self::Twin,
    ];

    /// As a scenario writes it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Drop => "drop",
            Self::Delay => "delay",
            Self::Duplicate => "duplicate",
            Self::Corrupt => "corrupt",
            Self::Truncate => "truncate",
            Self::Stall => "stall",
            Self::Mute => "mute",
            Self::Unplug => "unplug",
            Self::Reset => "reset",
            Self::ClockDrift => "clock-drift",
            Self::ClockJump => "clock-jump",
            Self::Saturation => "saturation",
            Self::StuckAxis => "stuck-axis",
            Self::Swapped => "swapped",
            Self::Twin => "twin",
        }
    }
}

impl fmt::Display for FaultName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FaultKind {
    /// Its name.
    pub const fn name(&self) -> FaultName {
        match self {
            Self::Drop { .. } => FaultName::Drop,
            Self::Delay { .. } => FaultName::Delay,
            Self::Duplicate { .. } => FaultName::Duplicate,
            Self::Corrupt { .. } => FaultName::Corrupt,
            Self::Truncate { .. } => FaultName::Truncate,
            Self::Stall => FaultName::Stall,
            Self::Mute => FaultName::Mute,
            Self::Unplug => FaultName::Unplug,
            Self::Reset => FaultName::Reset,
            Self::ClockDrift { .. } => FaultName::ClockDrift,
            Self::ClockJump { .. } => FaultName::ClockJump,
            Self::Saturation => FaultName::Saturation,
            Self::StuckAxis { .. } => FaultName::StuckAxis,
            Self::Swapped { .. } => FaultName::Swapped,
            Self::Twin { .. } => FaultName::Twin,
        }
    }
}

impl fmt::Display for FaultKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.name().fmt(f)?;
        match self {
            Self::Drop { share }
            | Self::Duplicate { share }
            | Self::Corrupt { share }
            | Self::Truncate { share } => write!(f, " {:.1} %", share * 100.0),
            Self::Delay { by_s } => write!(f, " by {by_s:.2} s"),
            Self::ClockDrift { ppm } => write!(f, " {ppm:+.0} ppm"),
            Self::ClockJump { by_s } => write!(f, " by {by_s:+.3} s"),
            Self::StuckAxis { axis } => write!(f, " {axis}"),
            Self::Swapped { with } => write!(f, " with {with}"),
            Self::Twin { of } => write!(f, " from {of}"),
            Self::Stall | Self::Mute | Self::Unplug | Self::Reset | Self::Saturation => Ok(()),
        }
    }
}

/// One fault of one board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// Of the board on this mount.
    pub mount: Mount,
    /// What goes wrong.
    pub kind: FaultKind,
    /// Beginning, s since the start of the simulation.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
}

impl Fault {
    /// Does it last at an instant?
    pub fn is_on(&self, t_s: f64) -> bool {
        self.from_s <= t_s && t_s < self.to_s
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            mount,
            kind,
            from_s,
            to_s,
        } = self;
        write!(
            f,
            "{:<11} {from_s:8.2} s to {to_s:8.2} s  {kind}",
            mount.name()
        )
    }
}

/// Every fault of a run, in the order in which they begin.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FaultPlan {
    faults: Vec<Fault>,
}

impl FaultPlan {
    /// These faults.
    pub fn new(mut faults: Vec<Fault>) -> Self {
        faults.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
        Self { faults }
    }

    /// All of them.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// Those and these.
    #[must_use]
    pub fn and(mut self, more: Self) -> Self {
        self.faults.extend(more.faults);
        Self::new(self.faults)
    }

    /// What the board on a mount suffers. Of two that are swapped each suffers it.
    #[must_use]
    pub fn of(&self, mount: Mount) -> Self {
        let suffered = self.faults.iter().filter_map(|fault| match fault.kind {
            _ if fault.mount == mount => Some(*fault),
            FaultKind::Swapped { with } if with == mount => Some(Fault {
                mount,
                kind: FaultKind::Swapped { with: fault.mount },
                ..*fault
            }),
            _ => None,
        });
        Self {
            faults: suffered.collect(),
        }
    }

    /// What lasts at an instant.
    pub fn on(&self, t_s: f64) -> impl Iterator<Item = &Fault> {
        self.faults.iter().filter(move |fault| fault.is_on(t_s))
    }

    /// Is the plug pulled?
    pub fn is_unplugged(&self, t_s: f64) -> bool {
        self.on(t_s).any(|fault| fault.kind == FaultKind::Unplug)
    }

    /// Until when the board is without power or starts anew; none while it works.
    pub fn down(&self, t_s: f64) -> Option<f64> {
        self.on(t_s)
            .filter(|fault| matches!(fault.kind, FaultKind::Unplug | FaultKind::Reset))
            .map(|fault| fault.to_s)
            .max_by(f64::total_cmp)
    }

    /// A fault that somebody causes now; it lasts until [`FaultPlan::end`].
    pub(crate) fn begin(&mut self, mount: Mount, kind: FaultKind, t_s: f64) {
        self.faults.push(Fault {
            mount,
            kind,
            from_s: t_s,
            to_s: f64::INFINITY,
        });
    }

    /// Ends what somebody caused.
    pub(crate) fn end(&mut self, name: FaultName, t_s: f64) {
        for fault in &mut self.faults {
            if fault.kind.name() == name && fault.to_s == f64::INFINITY {
                fault.to_s = t_s;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn swapped_boards_both_know_it_and_the_others_do_not() {
        let plan = FaultPlan::new(vec![Fault {
            mount: Mount::FrontLeft,
            kind: FaultKind::Swapped {
                with: Mount::FrontRight,
            },
            from_s: 1.0,
            to_s: 2.0,
        }]);
        let other = |mount| {
            plan.of(mount).on(1.5).find_map(|fault| match fault.kind {
                FaultKind::Swapped { with } => Some(with),
                _ => None,
            })
        };
        assert_eq!(other(Mount::FrontLeft), Some(Mount::FrontRight));
        assert_eq!(other(Mount::FrontRight), Some(Mount::FrontLeft));
        assert_eq!(other(Mount::RearLeft), None);
        assert_eq!(plan.of(Mount::FrontLeft).on(2.0).count(), 0);
    }

    #[test]
    fn a_board_is_down_until_the_last_of_what_keeps_it_down() {
        let fault = |kind, from_s, to_s| Fault {
            mount: Mount::Body,
            kind,
            from_s,
            to_s,
        };
        let plan = FaultPlan::new(vec![
            fault(FaultKind::Reset, 1.0, 3.0),
            fault(FaultKind::Unplug, 2.0, 5.0),
        ]);
        let told = [0.5, 1.5, 2.5, 4.0, 5.0].map(|t_s| (plan.down(t_s), plan.is_unplugged(t_s)));
        let expected = [
            (None, false),
            (Some(3.0), false),
            (Some(5.0), true),
            (Some(5.0), true),
            (None, false),
        ];
        assert_eq!(told, expected);
    }
}
