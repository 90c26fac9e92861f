//! A calibration that is kept: how far to trust it some days later, at another temperature.

use crate::calibration::Calibration;
use crate::chip::{ChipFigures, SettledAxis};

use super::fit::CalibrationFit;
use super::turn_over::ReversalResult;

/// Older than this is old, days: half a year. By then the ageing taken for the
/// cheap class (see [`crate::chip`]) has doubled its offset and more.
pub const OLD_AFTER_DAYS: f64 = 183.0;
/// Farther than this from the temperature of the calibration is too far, °C: the
/// cheap class moves 5 mg over it, and 1 mg is 0.06° (data sheets, see [`crate::chip`]).
pub const FAR_FROM_C: f64 = 10.0;
/// A date ahead of ours by more than this is a wrong clock, days: time zones are not.
const AHEAD_WITHIN_DAYS: f64 = 1.0;

/// One-sigma figures that a calibration left, at its temperature and on its day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftFigures {
    /// Accelerometer offset, g, per axis.
    pub accel_offset_g: f64,
    /// Accelerometer scale, ratio, per axis.
    pub accel_scale: f64,
    /// Accelerometer cross-axis, rad.
    pub accel_cross_rad: f64,
    /// Gyro cross-axis, rad.
    pub gyro_cross_rad: f64,
}

/// The axis that a reversal settled, and how warm the chip was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeptAxis {
    /// Direction and one sigma on that day.
    pub axis: SettledAxis,
    /// Temperature then, °C.
    pub temperature_c: Option<f64>,
}

/// A calibration that is kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeptCalibration {
    /// The calibration.
    pub calibration: Calibration,
    /// What it left.
    pub left: LeftFigures,
    /// Temperature of the poses, °C.
    pub temperature_c: Option<f64>,
    /// The axis that was settled by a reversal.
    pub settled: Option<KeptAxis>,
}

/// How long ago, days. Below zero when our clock says that it is yet to come.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ages {
    /// The poses.
    pub poses_days: f64,
    /// The reversal, if there was one.
    pub settled_days: f64,
}

/// Why a calibration is old.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OldReason {
    /// Too long ago.
    Age {
        /// Days ago.
        days: f64,
        /// The limit, days.
        limit_days: f64,
    },
    /// The chip is too much warmer or colder.
    Temperature {
        /// Chip now, °C.
        now_c: f64,
        /// Chip at the calibration, °C.
        then_c: f64,
        /// How far it may be, °C.
        limit_c: f64,
    },
    /// Its date is yet to come.
    DateAhead {
        /// In so many days.
        days: f64,
    },
}

/// How a calibration stands now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Standing {
    /// As good as it gets.
    Valid,
    /// Usable, with the wider figures.
    Old(OldReason),
}

impl KeptCalibration {
    /// What is kept of a fit, for a chip of class `class`. Axes that were settled
    /// before are not: their offset is another one now.
    pub fn of_fit(fit: &CalibrationFit, class: &ChipFigures) -> Self {
        let figures = fit.figures(class);
        Self {
            calibration: fit.calibration(),
            left: LeftFigures {
                accel_offset_g: figures.accel_offset_g,
                accel_scale: figures.accel_scale,
                accel_cross_rad: figures.accel_cross_rad,
                gyro_cross_rad: figures.gyro_cross_rad,
            },
            temperature_c: fit.warmth().map(|warmth| warmth.mean_c),
            settled: None,
        }
    }

    /// The same after a reversal that was done on top of it.
    #[must_use]
    pub fn with_reversal(&self, result: &ReversalResult) -> Self {
        Self {
            calibration: result.calibration,
            settled: Some(KeptAxis {
                axis: result.settled,
                temperature_c: result.temperature_c,
            }),
            ..*self
        }
    }

    /// The figures of a board of class `class` with this calibration, now. A
    /// temperature that is not known adds nothing: a board that tells none is
    /// taken to be as warm as it was.
    pub fn figures(&self, class: &ChipFigures, now_c: Option<f64>, ages: Ages) -> ChipFigures {
        let apart = |then_c: Option<f64>| {
            now_c
                .zip(then_c)
                .map_or(0.0, |(now_c, then_c)| now_c - then_c)
        };
        let fresh = ChipFigures {
            accel_offset_g: self.left.accel_offset_g,
            accel_scale: self.left.accel_scale,
            accel_cross_rad: self.left.accel_cross_rad,
            gyro_cross_rad: self.left.gyro_cross_rad,
            accel_settled: None,
            ..*class
        };
        let settled = self.settled.and_then(|kept| {
            ChipFigures {
                accel_settled: Some(kept.axis),
                ..fresh
            }
            .drifted(apart(kept.temperature_c), ages.settled_days)
            .accel_settled
        });
        ChipFigures {
            accel_settled: settled,
            ..fresh.drifted(apart(self.temperature_c), ages.poses_days)
        }
    }

    /// How it stands now.
    pub fn standing(&self, now_c: Option<f64>, ages: Ages) -> Standing {
        let days = ages.poses_days;
        if days < -AHEAD_WITHIN_DAYS {
            return Standing::Old(OldReason::DateAhead { days: -days });
        }
        if days > OLD_AFTER_DAYS {
            return Standing::Old(OldReason::Age {
                days,
                limit_days: OLD_AFTER_DAYS,
            });
        }
        match now_c.zip(self.temperature_c) {
            Some((now_c, then_c)) if (now_c - then_c).abs() > FAR_FROM_C => {
                Standing::Old(OldReason::Temperature {
                    now_c,
                    then_c,
                    limit_c: FAR_FROM_C,
                })
            }
            _ => Standing::Valid,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::Dir;

    fn kept(settled_g: Option<f64>) -> KeptCalibration {
        KeptCalibration {
            calibration: Calibration::none(),
            left: LeftFigures {
                accel_offset_g: 0.3e-3,
                accel_scale: 0.2e-3,
                accel_cross_rad: 0.1e-3,
                gyro_cross_rad: 1e-3,
            },
            temperature_c: Some(25.0),
            settled: settled_g.map(|offset_g| KeptAxis {
                axis: SettledAxis {
                    along: Dir::z_axis(),
                    felt_g: crate::frames::Vec3::zero(),
                    offset_g,
                },
                temperature_c: Some(30.0),
            }),
        }
    }

    fn ages(poses_days: f64, settled_days: f64) -> Ages {
        Ages {
            poses_days,
            settled_days,
        }
    }

    #[test]
    fn it_is_old_by_age_by_temperature_and_by_a_date_ahead() {
        let check = |now_c: Option<f64>, days: f64, expected: Standing| {
            assert_eq!(kept(None).standing(now_c, ages(days, 0.0)), expected);
        };
        let by_age = Standing::Old(OldReason::Age {
            days: 184.0,
            limit_days: OLD_AFTER_DAYS,
        });
        let by_heat = |now_c| {
            Standing::Old(OldReason::Temperature {
                now_c,
                then_c: 25.0,
                limit_c: FAR_FROM_C,
            })
        };
        check(Some(25.0), 0.0, Standing::Valid);
        check(None, 182.0, Standing::Valid);
        check(Some(34.9), -0.5, Standing::Valid);
        check(Some(25.0), 184.0, by_age);
        check(Some(35.5), 1.0, by_heat(35.5));
        check(Some(14.0), 1.0, by_heat(14.0));
        check(
            Some(25.0),
            -3.0,
            Standing::Old(OldReason::DateAhead { days: 3.0 }),
        );
    }

    #[test]
    fn figures_grow_from_the_day_and_the_warmth_of_each_part() {
        let class = ChipFigures {
            accel_tempco_g_per_c: 0.1e-3,
            accel_scale_tempco_per_c: 0.0,
            accel_ageing_g_rtyear: 0.0,
            gyro_scale_tempco_per_c: 0.0,
            ..ChipFigures::CHEAP
        };
        let grown = kept(Some(0.3e-3)).figures(&class, Some(29.0), ages(10.0, 1.0));
        // 4 °C from the poses, 1 °C from the reversal, 0.1 mg each: 3-4-5, and 0.3 with 0.1.
        assert!((grown.accel_offset_g - 0.5e-3).abs() < 1e-12, "{grown:?}");
        let settled = grown.accel_settled.unwrap();
        assert!((settled.offset_g - 0.1e-3 * 10f64.sqrt()).abs() < 1e-12);
        assert_eq!(grown.accel_scale, 0.2e-3);
        assert_eq!(grown.gyro_scale, class.gyro_scale);
        // No thermometer: as warm as it was.
        let cold = kept(None).figures(&class, None, ages(0.0, 0.0));
        assert_eq!(cold.accel_offset_g, 0.3e-3);
        assert_eq!(cold.accel_settled, None);
    }

    #[test]
    fn age_alone_widens_by_the_ageing_of_the_class() {
        let old = kept(None).figures(&ChipFigures::CHEAP, None, ages(365.25, 0.0));
        let expected = 0.3e-3_f64.hypot(ChipFigures::CHEAP.accel_ageing_g_rtyear);
        assert!((old.accel_offset_g - expected).abs() < 1e-12, "{old:?}");
    }
}
