//! What a network does to what a board says: datagrams are lost, overtaken and bunched.

use std::time::{Duration, Instant};

use rand::RngExt;
use rand_chacha::ChaCha12Rng;

use crate::board::{LinkKind, LinkSpec, Purpose, stream};
use crate::car::Mount;

/// A datagram is overtaken by so many at most.
const MOST_OVERTAKING: u32 = 3;

/// The way between a board and its host, with its own stream of randomness.
#[derive(Debug)]
pub(super) struct Air {
    spec: LinkSpec,
    rng: ChaCha12Rng,
    /// What waits for the end of its bunch.
    bunch: Vec<Vec<u8>>,
    bunch_began: Option<Instant>,
    /// A datagram held back, and how many are still to overtake it.
    overtaken: Option<(Vec<u8>, u32)>,
}

impl Air {
    pub(super) fn new(spec: LinkSpec, mount: Mount, seed: u64) -> Self {
        // What Bluetooth does, it does to each notification, not to each reading.
        let spec = match spec.kind {
            LinkKind::Bluetooth => LinkSpec::of(spec.kind),
            _ => spec,
        };
        Self {
            spec,
            rng: stream(seed, Some(mount), Purpose::Wire),
            bunch: Vec::new(),
            bunch_began: None,
            overtaken: None,
        }
    }

    /// What arrives now, and how many bytes never will.
    pub(super) fn carry(&mut self, said: Vec<Vec<u8>>, now: Instant) -> (Vec<Vec<u8>>, usize) {
        let mut lost = 0;
        for piece in said {
            // All drawn always, so that switching one fault off leaves the other's draws alone.
            let (loss, order): (f64, f64) = (self.rng.random(), self.rng.random());
            let overtaking = self.rng.random_range(1..=MOST_OVERTAKING);
            if loss * 100.0 < self.spec.loss_percent {
                lost += piece.len();
            } else if self.overtaken.is_none() && order * 100.0 < self.spec.reorder_percent {
                self.overtaken = Some((piece, overtaking));
            } else {
                self.bunch.push(piece);
                self.overtaken = match self.overtaken.take() {
                    Some((held, 1)) => {
                        self.bunch.push(held);
                        None
                    }
                    Some((held, left)) => Some((held, left - 1)),
                    None => None,
                };
            }
        }
        let began = *self.bunch_began.get_or_insert(now);
        let lasts = Duration::from_secs_f64(self.spec.burst_ms * 1e-3);
        if now < began + lasts {
            return (Vec::new(), lost);
        }
        self.bunch_began = None;
        (std::mem::take(&mut self.bunch), lost)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbered(count: u32) -> Vec<Vec<u8>> {
        (0..count).map(|n| n.to_be_bytes().to_vec()).collect()
    }

    fn numbers(pieces: &[Vec<u8>]) -> Vec<u32> {
        pieces
            .iter()
            .map(|piece| piece.iter().fold(0, |n, &byte| (n << 8) | u32::from(byte)))
            .collect()
    }

    fn carried(spec: LinkSpec, seed: u64) -> (Vec<u32>, usize) {
        let mut air = Air::new(spec, Mount::FrontLeft, seed);
        let (pieces, lost) = air.carry(numbered(10_000), Instant::now());
        (numbers(&pieces), lost / 4)
    }

    #[test]
    fn a_faultless_way_changes_nothing() {
        let (arrived, lost) = carried(LinkSpec::of(LinkKind::Udp), 1);
        assert_eq!((arrived, lost), ((0..10_000).collect(), 0));
    }

    #[test]
    fn datagrams_are_lost_and_overtaken_as_often_as_said() {
        let spec = LinkSpec {
            loss_percent: 5.0,
            reorder_percent: 2.0,
            ..LinkSpec::of(LinkKind::Udp)
        };
        let (arrived, lost) = carried(spec, 7);
        // Binomial: 500 with a standard deviation of 22; a hundred is over four of those.
        assert!((400..=600).contains(&lost), "{lost}");
        let late = arrived.windows(2).filter(|pair| pair[1] < pair[0]).count();
        // A little under 2 % of 9500, since none is drawn while one is held back.
        assert!((120..=230).contains(&late), "{late}");
        let mut sorted = arrived.clone();
        sorted.sort_unstable();
        sorted.dedup();
        assert!(arrived.len() - sorted.len() == 0 && 10_000 - lost - sorted.len() <= 1);
        assert_eq!(carried(spec, 7), (arrived, lost), "the seed gives it again");
    }

    #[test]
    fn a_bunch_arrives_at_its_end() {
        let spec = LinkSpec {
            burst_ms: 50.0,
            ..LinkSpec::of(LinkKind::TcpServer)
        };
        let mut air = Air::new(spec, Mount::Body, 3);
        let start = Instant::now();
        let mut at =
            |ms| numbers(&air.carry(numbered(1), start + Duration::from_millis(ms)).0).len();
        assert_eq!(
            [at(0), at(10), at(49), at(50), at(60), at(110)],
            [0, 0, 0, 4, 0, 2]
        );
    }
}
