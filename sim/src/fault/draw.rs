//! Faults drawn from a seed.

use rand::RngExt;
use rand_chacha::ChaCha12Rng;

use super::{Fault, FaultKind, FaultName, FaultPlan};
use crate::board::{Purpose, stream};
use crate::car::Mount;

/// What may be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultDraw {
    /// Boards there are.
    pub mounts: Vec<Mount>,
    /// Kinds that may come.
    pub kinds: Vec<FaultName>,
    /// No fault begins before, s.
    pub from_s: f64,
    /// None begins after, s.
    pub to_s: f64,
    /// Mean time from the beginning of one to that of the next, s.
    pub every_s: f64,
    /// Shortest and longest, s.
    pub lasts_s: [f64; 2],
}

impl FaultDraw {
    /// Every kind on these boards for so long, s.
    pub fn of_all(mounts: Vec<Mount>, to_s: f64) -> Self {
        Self {
            mounts,
            kinds: FaultName::ALL.to_vec(),
            from_s: 5.0,
            to_s,
            every_s: 10.0,
            lasts_s: [0.2, 6.0],
        }
    }
}

impl FaultPlan {
    /// A plan from a seed. It has a stream of its own: boards, noise and chips stay as they are.
    pub fn drawn(seed: u64, draw: &FaultDraw) -> Self {
        let mut rng = stream(seed, None, Purpose::Faults);
        let mut faults = Vec::new();
        let mut from_s = draw.from_s;
        if draw.mounts.is_empty() || draw.kinds.is_empty() {
            return Self::default();
        }
        loop {
            from_s += draw.every_s * rng.random_range(0.5..1.5);
            if from_s >= draw.to_s {
                return Self::new(faults);
            }
            let mount = draw.mounts[rng.random_range(0..draw.mounts.len())];
            let name = draw.kinds[rng.random_range(0..draw.kinds.len())];
            // Short ones are as frequent as long ones.
            let [shortest, longest] = draw.lasts_s;
            let lasts_s = shortest * (longest / shortest).powf(rng.random());
            let other = draw.mounts[rng.random_range(0..draw.mounts.len())];
            let kind = kind(name, other, &mut rng);
            let alone = matches!(name, FaultName::Swapped | FaultName::Twin) && other == mount;
            if !alone {
                let lasts_s = if name == FaultName::ClockJump {
                    0.0
                } else {
                    lasts_s
                };
                let to_s = from_s + lasts_s;
                faults.push(Fault {
                    mount,
                    kind,
                    from_s,
                    to_s,
                });
            }
        }
    }
}

fn kind(name: FaultName, other: Mount, rng: &mut ChaCha12Rng) -> FaultKind {
    // From rare to all.
    let share = 10_f64.powf(rng.random_range(-2.0..0.0));
    let sign = if rng.random() { 1.0 } else { -1.0 };
    let small_to_large: f64 = rng.random();
    match name {
        FaultName::Drop => FaultKind::Drop { share },
        FaultName::Duplicate => FaultKind::Duplicate { share },
        FaultName::Corrupt => FaultKind::Corrupt { share },
        FaultName::Truncate => FaultKind::Truncate { share },
        FaultName::Delay => FaultKind::Delay {
            by_s: 0.02 * 150_f64.powf(small_to_large),
        },
        FaultName::Stall => FaultKind::Stall,
        FaultName::Mute => FaultKind::Mute,
        FaultName::Unplug => FaultKind::Unplug,
        FaultName::Reset => FaultKind::Reset,
        // A crystal is off by tens, a ceramic resonator by thousands.
        FaultName::ClockDrift => FaultKind::ClockDrift {
            ppm: sign * 50.0 * 60_f64.powf(small_to_large),
        },
        FaultName::ClockJump => FaultKind::ClockJump {
            by_s: sign * 0.02 * 3000_f64.powf(small_to_large),
        },
        FaultName::Saturation => FaultKind::Saturation,
        FaultName::StuckAxis => FaultKind::StuckAxis {
            axis: rng.random_range(0..6),
        },
        FaultName::Swapped => FaultKind::Swapped { with: other },
        FaultName::Twin => FaultKind::Twin { of: other },
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn draw() -> FaultDraw {
        FaultDraw::of_all(vec![Mount::FrontLeft, Mount::FrontRight], 10_000.0)
    }

    #[test]
    fn every_kind_comes_on_every_board_within_its_time() {
        let plan = FaultPlan::drawn(3, &draw());
        let seen: BTreeSet<_> = plan
            .faults()
            .iter()
            .map(|fault| (fault.mount.name(), fault.kind.name()))
            .collect();
        assert_eq!(seen.len(), 2 * FaultName::ALL.len());
        assert!((800..1100).contains(&plan.faults().len()));
        for fault in plan.faults() {
            let lasts_s = fault.to_s - fault.from_s;
            let momentary = fault.kind.name() == FaultName::ClockJump;
            assert!(momentary == (lasts_s == 0.0), "{fault}");
            assert!(lasts_s < 6.0 && fault.from_s >= 5.0, "{fault}");
        }
    }

    #[test]
    fn a_seed_is_a_plan() {
        assert_eq!(FaultPlan::drawn(3, &draw()), FaultPlan::drawn(3, &draw()));
        assert_ne!(FaultPlan::drawn(3, &draw()), FaultPlan::drawn(4, &draw()));
    }
}
