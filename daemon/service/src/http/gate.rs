//! So many at once, in all and from one machine.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Counts who is in.
#[derive(Debug, Clone)]
pub(super) struct Gate(Arc<Bounds>);

#[derive(Debug)]
struct Bounds {
    most: usize,
    most_of_one: usize,
    inside: Mutex<Inside>,
}

#[derive(Debug, Default)]
struct Inside {
    all: usize,
    by: HashMap<IpAddr, usize>,
}

/// The right to be in; given back when it is dropped.
#[derive(Debug)]
pub(super) struct Place {
    gate: Gate,
    who: IpAddr,
}

impl Gate {
    /// Lets in `most` in all and `most_of_one` from one machine.
    pub(super) fn new(most: usize, most_of_one: usize) -> Self {
        Self(Arc::new(Bounds {
            most,
            most_of_one,
            inside: Mutex::default(),
        }))
    }

    /// A place, if there is one.
    pub(super) fn enter(&self, who: IpAddr) -> Option<Place> {
        let mut inside = self.inside();
        let of_one = inside.by.get(&who).copied().unwrap_or(0);
        if inside.all >= self.0.most || of_one >= self.0.most_of_one {
            return None;
        }
        inside.all += 1;
        inside.by.insert(who, of_one + 1);
        Some(Place {
            gate: self.clone(),
            who,
        })
    }

    fn inside(&self) -> MutexGuard<'_, Inside> {
        // No holder panics between its two changes.
        self.0.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut inside = self.gate.inside();
        inside.all = inside.all.saturating_sub(1);
        let left = inside.by.get(&self.who).copied().unwrap_or(0);
        // Machines that went are not remembered: there may be many over the years.
        if left > 1 {
            inside.by.insert(self.who, left - 1);
        } else {
            inside.by.remove(&self.who);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn machine(last: u8) -> IpAddr {
        [192, 0, 2, last].into()
    }

    #[test]
    fn one_machine_cannot_take_every_place() {
        let gate = Gate::new(3, 2);
        let _first = gate.enter(machine(1)).unwrap();
        let second = gate.enter(machine(1)).unwrap();
        assert!(gate.enter(machine(1)).is_none(), "it has two");
        let _other = gate.enter(machine(2)).unwrap();
        assert!(gate.enter(machine(3)).is_none(), "three are in");
        drop(second);
        assert!(gate.enter(machine(3)).is_some());
        assert!(gate.enter(machine(1)).is_some());
    }

    #[test]
    fn machines_that_went_are_not_remembered() {
        let gate = Gate::new(3, 2);
        for last in 0..200 {
            drop(gate.enter(machine(last)).unwrap());
        }
        let inside = gate.inside();
        assert_eq!((inside.all, inside.by.len()), (0, 0));
    }
}
