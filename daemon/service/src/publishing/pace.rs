//! Which live angles are worth a message now.

use std::collections::BTreeMap;
use std::time::Duration;

use tokio::time::Instant;

use super::document::{LiveQuantity, LiveReading};
use crate::visit::Place;

/// For how long a live angle is good, s: long enough that a page drawn from it does not flicker,
/// short enough that nobody crawls under the car by a value of before. The broker deletes it then.
pub(crate) const FRESH_S: u32 = 10;

/// One that does not change is told again after this, well before the broker deletes it.
const AGAIN: Duration = Duration::from_secs(5);

/// What was sent last, for each wheel and angle. It begins anew with each connection.
#[derive(Debug, Default)]
pub(crate) struct Pace {
    sent: BTreeMap<(Place, LiveQuantity), Sent>,
}

#[derive(Debug)]
struct Sent {
    at: Instant,
    /// None where there was no angle, with the reason's code.
    value: Result<f64, &'static str>,
}

impl Pace {
    /// Is this reading worth a message at `now`? Then it counts as sent.
    pub(crate) fn take(&mut self, reading: &LiveReading, deadband_deg: f64, now: Instant) -> bool {
        let value = reading.angle.map(|angle| angle.value_deg);
        let key = (reading.place, reading.quantity);
        let worth = self.sent.get(&key).is_none_or(|sent| {
            now.duration_since(sent.at) >= AGAIN
                || match (sent.value, value) {
                    (Ok(before), Ok(now)) => (now - before).abs() >= deadband_deg,
                    (Err(before), Err(now)) => before != now,
                    _ => true,
                }
        });
        if worth {
            self.sent.insert(key, Sent { at: now, value });
        }
        worth
    }
}

#[cfg(test)]
mod tests {
    use super::super::document::LiveAngle;
    use super::*;

    fn reading(angle: Result<f64, &'static str>) -> LiveReading {
        LiveReading {
            place: Place::FrontLeft,
            quantity: LiveQuantity::Camber,
            angle: angle.map(|value_deg| LiveAngle {
                value_deg,
                standard_deg: 0.02,
                expanded_deg: 0.04,
                age_us: 0,
            }),
        }
    }

    #[test]
    fn small_changes_are_held_back_and_reasons_are_not() {
        let mut pace = Pace::default();
        let began = Instant::now();
        for (after_s, angle, worth) in [
            (0, Ok(1.0), true),
            (1, Ok(1.005), false),
            (2, Ok(1.009), false),
            (3, Ok(1.02), true),
            (4, Err("moving"), true),
            (5, Err("moving"), false),
            (6, Err("absent"), true),
            (7, Ok(1.02), true),
            (11, Ok(1.02), false),
            (12, Ok(1.02), true),
        ] {
            let now = began + Duration::from_secs(after_s);
            assert_eq!(pace.take(&reading(angle), 0.01, now), worth, "{after_s} s");
        }
    }

    #[test]
    fn without_a_deadband_every_look_is_sent() {
        let mut pace = Pace::default();
        let now = Instant::now();
        assert!(pace.take(&reading(Ok(1.0)), 0.0, now));
        assert!(pace.take(&reading(Ok(1.0)), 0.0, now));
    }
}
