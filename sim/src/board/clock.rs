//! A board's clock and its warmth.

/// A board's clock against the simulation's.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Clock {
    /// What it shows when the simulation starts, s.
    pub offset_s: f64,
    /// How much faster it runs, parts per million. The sampling goes by this clock.
    pub rate_ppm: f64,
    /// Standard deviation of the sampling instant about the even rhythm, µs; the stamp follows it.
    pub jitter_us: f64,
    /// Standard deviation of the stamp about the sampling instant, µs.
    pub stamp_error_us: f64,
    /// Does the stamp start again from zero after 2³² µs, as a 32-bit microsecond counter does?
    pub wraps: bool,
}

impl Clock {
    /// Seconds of this clock per second of the simulation.
    pub fn rate(&self) -> f64 {
        1.0 + self.rate_ppm * 1e-6
    }

    /// The stamp for a time of this clock, µs.
    pub fn stamp_us(&self, clock_s: f64) -> f64 {
        // The first sample may jitter to before the clock's zero; no counter shows that.
        let stamp_us = (clock_s * 1e6).round().max(0.0);
        if self.wraps {
            stamp_us.rem_euclid(2.0_f64.powi(32))
        } else {
            stamp_us
        }
    }
}

/// Warming up after the board is switched on: `start + rise (1 − e^(−t/τ))`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperature {
    /// At the start, °C.
    pub start_c: f64,
    /// How much warmer it gets in the end, °C.
    pub rise_c: f64,
    /// Time constant, s.
    pub settle_s: f64,
}

impl Default for Temperature {
    fn default() -> Self {
        Self {
            start_c: 25.0,
            rise_c: 1.5,
            settle_s: 40.0,
        }
    }
}

impl Temperature {
    /// Temperature of the chip, °C.
    pub fn at_c(&self, t_s: f64) -> f64 {
        self.start_c - self.rise_c * (-t_s.max(0.0) / self.settle_s).exp_m1()
    }
}
