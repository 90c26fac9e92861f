//! Which readings a calibration takes at all.

use crate::chip::ChipFigures;
use crate::live::Rejected;
use crate::reading::RawSample;
use crate::time::HostTime;

/// Share of the full scale beyond which a reading is taken for saturated.
const FULL_SCALE: f64 = 0.99;

/// Lets readings pass that are numbers, in order and within the chip's range.
#[derive(Debug, Clone)]
pub(super) struct Gate {
    accel_range_g: f64,
    gyro_range_radps: f64,
    last_at: Option<HostTime>,
}

impl Gate {
    pub(super) const fn new(chip: &ChipFigures) -> Self {
        Self {
            accel_range_g: chip.accel_range_g,
            gyro_range_radps: chip.gyro_range_radps,
            last_at: None,
        }
    }

    pub(super) fn admit(&mut self, raw: &RawSample) -> Result<(), Rejected> {
        if !raw.accel_g.is_finite() || raw.rate_radps.is_some_and(|rate| !rate.is_finite()) {
            return Err(Rejected::NotFinite);
        }
        if let Some(last) = self.last_at
            && raw.at <= last
        {
            return Err(Rejected::TimeNotForward {
                at_us: raw.at.us(),
                last_us: last.us(),
            });
        }
        self.last_at = Some(raw.at);
        let rate = raw.rate_radps.map_or(0.0, |rate| rate.max_abs());
        let ends = [
            (raw.accel_g.max_abs(), self.accel_range_g),
            (rate, self.gyro_range_radps),
        ];
        match ends
            .into_iter()
            .find(|(found, limit)| *found >= FULL_SCALE * limit)
        {
            Some((found, limit)) => Err(Rejected::Saturated { found, limit }),
            None => Ok(()),
        }
    }
}
