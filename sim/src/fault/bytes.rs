//! What happens to what a board said on its way to the host.

use std::collections::VecDeque;

use rand::RngExt;
use rand_chacha::ChaCha12Rng;

use super::{FaultKind, FaultPlan};

/// What waits on the way at most, bytes: as much as a driver's buffer. The oldest goes.
const WAITING: usize = 65_536;

/// The way of one board's bytes, with its faults.
#[derive(Debug, Clone)]
pub struct ByteStage {
    rng: ChaCha12Rng,
    /// What is still on the way, and when it is due; none: when the stall ends.
    waiting: VecDeque<(Option<f64>, Vec<u8>)>,
    waiting_bytes: usize,
}

/// What came through.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Carried {
    /// Pieces that arrive now.
    pub pieces: Vec<Vec<u8>>,
    /// Bytes that never will.
    pub lost: usize,
}

impl ByteStage {
    /// A way whose chances come from this stream.
    pub fn new(rng: ChaCha12Rng) -> Self {
        Self {
            rng,
            waiting: VecDeque::new(),
            waiting_bytes: 0,
        }
    }

    /// What was said up to `now_s` goes in; what arrives by then comes out.
    pub fn carry(&mut self, said: Vec<Vec<u8>>, plan: &FaultPlan, now_s: f64) -> Carried {
        let mut carried = Carried::default();
        for piece in said {
            self.go(piece, plan, now_s, &mut carried);
        }
        let stalled = plan.on(now_s).any(|fault| fault.kind == FaultKind::Stall);
        while let Some((due_s, _)) = self.waiting.front() {
            if stalled || due_s.is_some_and(|due_s| due_s > now_s) {
                break;
            }
            if let Some((_, piece)) = self.waiting.pop_front() {
                self.waiting_bytes -= piece.len();
                carried.pieces.push(piece);
            }
        }
        carried
    }

    fn go(&mut self, mut piece: Vec<u8>, plan: &FaultPlan, now_s: f64, carried: &mut Carried) {
        let mut times = 1;
        let mut due_s = None;
        for fault in plan.on(now_s) {
            match fault.kind {
                FaultKind::Mute | FaultKind::Unplug => times = 0,
                FaultKind::Drop { share } if self.chance(share) => times = 0,
                FaultKind::Duplicate { share } if self.chance(share) => times *= 2,
                FaultKind::Corrupt { share } if self.chance(share) && !piece.is_empty() => {
                    let at = self.rng.random_range(0..piece.len());
                    piece[at] ^= 1_u8 << self.rng.random_range(0..8_u32);
                }
                FaultKind::Truncate { share } if self.chance(share) && !piece.is_empty() => {
                    let left = self.rng.random_range(0..piece.len());
                    carried.lost += piece.len() - left;
                    piece.truncate(left);
                }
                FaultKind::Delay { by_s } => {
                    due_s = Some(due_s.unwrap_or(now_s).max(now_s + by_s));
                }
                _ => {}
            }
        }
        if times == 0 {
            carried.lost += piece.len();
        }
        for _ in 0..times {
            self.waiting_bytes += piece.len();
            self.waiting.push_back((due_s, piece.clone()));
        }
        while self.waiting_bytes > WAITING {
            let Some((_, oldest)) = self.waiting.pop_front() else {
                break;
            };
            self.waiting_bytes -= oldest.len();
            carried.lost += oldest.len();
        }
    }

    fn chance(&mut self, share: f64) -> bool {
        self.rng.random::<f64>() < share
    }

    /// The plug is pulled: what was on the way is gone.
    pub fn cut(&mut self) -> usize {
        self.waiting.clear();
        std::mem::take(&mut self.waiting_bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::super::Fault;
    use super::*;
    use crate::board::{Purpose, stream};
    use crate::car::Mount;

    fn plan(kind: FaultKind) -> FaultPlan {
        FaultPlan::new(vec![Fault {
            mount: Mount::FrontLeft,
            kind,
            from_s: 1.0,
            to_s: 2.0,
        }])
    }

    /// Ten pieces a tenth of a second for three seconds; when each arrives, in tenths.
    fn carried(kind: FaultKind) -> (Vec<(usize, Vec<u8>)>, usize) {
        let mut stage = ByteStage::new(stream(7, Some(Mount::FrontLeft), Purpose::Faults));
        let plan = plan(kind);
        let (mut arrived, mut lost) = (Vec::new(), 0);
        for tenth in 0..40_usize {
            let said = if tenth < 30 {
                vec![vec![u8::try_from(tenth).unwrap(); 4]; 10]
            } else {
                Vec::new()
            };
            let carried = stage.carry(said, &plan, tenth as f64 * 0.1);
            lost += carried.lost;
            arrived.extend(carried.pieces.into_iter().map(|piece| (tenth, piece)));
        }
        (arrived, lost)
    }

    fn during(arrived: &[(usize, Vec<u8>)]) -> usize {
        let said = |piece: &[u8]| piece.first().is_some_and(|byte| (10..20).contains(byte));
        arrived.iter().filter(|(_, piece)| said(piece)).count()
    }

    #[test]
    fn outside_its_time_a_fault_does_nothing() {
        for kind in [
            FaultKind::Drop { share: 1.0 },
            FaultKind::Mute,
            FaultKind::Corrupt { share: 1.0 },
            FaultKind::Duplicate { share: 1.0 },
        ] {
            let (arrived, _) = carried(kind);
            let outside = arrived.iter().filter(|(tenth, piece)| {
                !(10..20).contains(tenth) && *piece == [piece_of(*tenth); 4]
            });
            assert_eq!(outside.count(), 200, "{kind}");
        }
    }

    /// The byte that the piece of that tenth is made of.
    fn piece_of(tenth: usize) -> u8 {
        u8::try_from(tenth % 256).unwrap()
    }

    #[test]
    fn each_fault_does_what_it_says() {
        let (arrived, lost) = carried(FaultKind::Drop { share: 0.5 });
        assert!(
            (30..=70).contains(&during(&arrived)),
            "{}",
            during(&arrived)
        );
        assert_eq!(lost / 4, 100 - during(&arrived));
        assert_eq!(during(&carried(FaultKind::Duplicate { share: 1.0 }).0), 200);
        assert_eq!(during(&carried(FaultKind::Mute).0), 0);
        let (arrived, _) = carried(FaultKind::Corrupt { share: 1.0 });
        let flipped = |(tenth, piece): &&(usize, Vec<u8>)| {
            let bits = piece
                .iter()
                .map(|byte| (byte ^ piece_of(*tenth)).count_ones());
            bits.sum::<u32>() == 1
        };
        assert_eq!(arrived.iter().filter(flipped).count(), 100);
        let (arrived, lost) = carried(FaultKind::Truncate { share: 1.0 });
        let left: usize = arrived.iter().map(|(_, piece)| piece.len()).sum();
        assert_eq!(left + lost, 1200);
        assert!(arrived[100..200].iter().all(|(_, piece)| piece.len() < 4));
    }

    #[test]
    fn what_is_late_keeps_its_order() {
        let (arrived, lost) = carried(FaultKind::Delay { by_s: 0.5 });
        assert_eq!((arrived.len(), lost), (300, 0));
        assert!(arrived.is_sorted_by_key(|(_, piece)| piece[0]));
        let first_late = arrived.iter().find(|(_, piece)| piece[0] == 10).unwrap();
        assert_eq!(first_late.0, 15);
        let (arrived, lost) = carried(FaultKind::Stall);
        assert_eq!((arrived.len(), lost), (300, 0));
        assert_eq!(
            arrived.iter().filter(|(tenth, _)| *tenth == 20).count(),
            110
        );
    }

    #[test]
    fn what_waits_is_bounded() {
        let mut stage = ByteStage::new(stream(7, None, Purpose::Faults));
        let stalled = plan(FaultKind::Stall);
        let carried = stage.carry(vec![vec![0; 1000]; 100], &stalled, 1.5);
        assert_eq!(carried.lost, 35_000);
        assert_eq!(stage.carry(Vec::new(), &stalled, 2.5).pieces.len(), 65);
    }

    #[test]
    fn the_same_seed_does_the_same() {
        let kind = FaultKind::Corrupt { share: 0.3 };
        assert_eq!(carried(kind), carried(kind));
    }
}
