//! What a column may hold, and a reading being filled from columns.

use crate::reading::Reading;

use super::unit::{Dimension, Unit};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Axis {
    X,
    Y,
    Z,
}

impl Axis {
    pub(crate) const ALL: [Self; 3] = [Self::X, Self::Y, Self::Z];

    fn of<T>(self, [x, y, z]: &mut [T; 3]) -> &mut T {
        match self {
            Self::X => x,
            Self::Y => y,
            Self::Z => z,
        }
    }
}

/// A quantity with three axes. The axes of attitude are roll, pitch and yaw.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Triple {
    Accel,
    Rate,
    Attitude,
}

/// One number of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quantity {
    Time,
    Sequence,
    Axis(Triple, Axis),
    /// How far the x or the y arrow points above the horizontal: what an
    /// inclinometer with two axes measures.
    InclineX,
    InclineY,
    Temperature,
}

impl Quantity {
    pub(crate) fn dimension(self) -> Dimension {
        match self {
            Self::Time => Dimension::Time,
            Self::Sequence => Dimension::Count,
            Self::Axis(triple, _) => triple.dimension(),
            Self::InclineX | Self::InclineY => Dimension::Angle,
            Self::Temperature => Dimension::Temperature,
        }
    }

    /// Its short name in a header, without unit.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Time => "t",
            Self::Sequence => "seq",
            Self::Temperature => "temp",
            Self::InclineX => "incline_x",
            Self::InclineY => "incline_y",
            Self::Axis(Triple::Accel, Axis::X) => "ax",
            Self::Axis(Triple::Accel, Axis::Y) => "ay",
            Self::Axis(Triple::Accel, Axis::Z) => "az",
            Self::Axis(Triple::Rate, Axis::X) => "gx",
            Self::Axis(Triple::Rate, Axis::Y) => "gy",
            Self::Axis(Triple::Rate, Axis::Z) => "gz",
            Self::Axis(Triple::Attitude, Axis::X) => "roll",
            Self::Axis(Triple::Attitude, Axis::Y) => "pitch",
            Self::Axis(Triple::Attitude, Axis::Z) => "yaw",
        }
    }
}

impl Triple {
    pub(crate) fn dimension(self) -> Dimension {
        match self {
            Self::Accel => Dimension::SpecificForce,
            Self::Rate => Dimension::Rate,
            Self::Attitude => Dimension::Angle,
        }
    }

    /// Its name as the key of three numbers.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Accel => "accel",
            Self::Rate => "gyro",
            Self::Attitude => "attitude",
        }
    }
}

/// One number, or three at once under one key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Subject {
    One(Quantity),
    Three(Triple),
}

impl Subject {
    pub(crate) fn dimension(self) -> Dimension {
        match self {
            Self::One(quantity) => quantity.dimension(),
            Self::Three(triple) => triple.dimension(),
        }
    }

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::One(quantity) => quantity.name(),
            Self::Three(triple) => triple.name(),
        }
    }
}

/// What a column holds and how its number becomes one of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Field {
    pub(crate) subject: Subject,
    pub(crate) unit: Unit,
    /// What one count of the column is in `unit`; 1 where the column is in that unit itself.
    pub(crate) scale: f64,
}

impl Field {
    pub(crate) fn new(subject: Subject, unit: Unit) -> Self {
        Self {
            subject,
            unit,
            scale: 1.0,
        }
    }

    pub(crate) fn to_reading(self, wire: f64) -> f64 {
        wire * self.scale * self.unit.in_reading_units()
    }

    pub(crate) fn to_wire(self, value: f64) -> f64 {
        value / self.unit.in_reading_units() / self.scale
    }

    /// Decimals to write; a column with a scale counts whole steps.
    pub(crate) fn decimals(self) -> usize {
        if self.scale == 1.0 {
            self.unit.decimals()
        } else {
            0
        }
    }
}

/// A number that the reading cannot hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct OutOfRange;

/// Numbers a reading is made of.
const PLACES: usize = 14;

/// A reading being filled.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Draft {
    values: [f64; PLACES],
    /// Which of them were told, a bit each.
    told: u16,
}

impl Quantity {
    /// Its place in a draft.
    const fn place(self) -> usize {
        match self {
            Self::Time => 0,
            Self::Sequence => 1,
            Self::Temperature => 2,
            Self::InclineX => 3,
            Self::InclineY => 4,
            Self::Axis(triple, axis) => 5 + 3 * triple as usize + axis as usize,
        }
    }
}

impl Draft {
    /// Puts in a number of the wire.
    #[inline]
    pub(crate) fn set(
        &mut self,
        quantity: Quantity,
        field: Field,
        wire: f64,
    ) -> Result<(), OutOfRange> {
        let value = field.to_reading(wire);
        if !value.is_finite() || (quantity == Quantity::Sequence && whole(value).is_err()) {
            return Err(OutOfRange);
        }
        let place = quantity.place();
        if let Some(held) = self.values.get_mut(place) {
            *held = value;
            self.told |= 1 << place;
        }
        Ok(())
    }

    fn get(&self, quantity: Quantity) -> Option<f64> {
        let place = quantity.place();
        let value = self.values.get(place).copied();
        value.filter(|_| self.told & (1 << place) != 0)
    }

    fn triple(&self, triple: Triple) -> Option<[f64; 3]> {
        let first = Quantity::Axis(triple, Axis::X).place();
        if (self.told >> first) & 0b111 != 0b111 {
            return None;
        }
        self.values.get(first..)?.first_chunk().copied()
    }

    /// The reading, where it holds anything to measure by. Two axes of three
    /// are none: a length cannot be told from them. Roll and pitch are enough to
    /// say where gravity points.
    pub(crate) fn finish(self) -> Option<Reading> {
        let angle = |axis| self.get(Quantity::Axis(Triple::Attitude, axis));
        let angles = [angle(Axis::X), angle(Axis::Y), angle(Axis::Z)];
        let inclines = [Quantity::InclineX, Quantity::InclineY].map(|incline| self.get(incline));
        let reading = Reading {
            device_time_us: self.get(Quantity::Time),
            sequence: self
                .get(Quantity::Sequence)
                .and_then(|value| whole(value).ok()),
            temperature_c: self.get(Quantity::Temperature),
            accel_g: self.triple(Triple::Accel),
            rate_radps: self.triple(Triple::Rate),
            attitude_rad: self.triple(Triple::Attitude),
            tilt_rad: match (angles, inclines) {
                ([Some(roll), Some(pitch), None], _) => Some([roll, pitch]),
                ([None, None, None], [Some(x), Some(y)]) => tilt_of(x, y),
                _ => None,
            },
        };
        is_usable(&reading).then_some(reading)
    }
}

/// Does it hold anything to measure by?
pub(crate) fn is_usable(reading: &Reading) -> bool {
    reading.accel_g.is_some()
        || reading.rate_radps.is_some()
        || reading.attitude_rad.is_some()
        || reading.tilt_rad.is_some()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the range and the fraction are checked before"
)]
fn whole(value: f64) -> Result<u32, OutOfRange> {
    if value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value) {
        Ok(value as u32)
    } else {
        Err(OutOfRange)
    }
}

/// Roll and pitch of a board whose x and y arrows point so far above the
/// horizontal, z up: gravity's parts along them are sin x = −sin pitch and
/// sin y = sin roll · cos pitch. None where both cannot be at once.
fn tilt_of(x_rad: f64, y_rad: f64) -> Option<[f64; 2]> {
    let roll = (y_rad.sin() / x_rad.cos()).asin();
    roll.is_finite().then_some([roll, -x_rad])
}

/// Do these quantities, told together, make a reading?
pub(crate) fn are_usable(quantities: &[Quantity]) -> bool {
    let has = |triple, axes: &[Axis]| {
        axes.iter()
            .all(|&axis| quantities.contains(&Quantity::Axis(triple, axis)))
    };
    has(Triple::Accel, &Axis::ALL)
        || has(Triple::Rate, &Axis::ALL)
        || has(Triple::Attitude, &[Axis::X, Axis::Y])
        || [Quantity::InclineX, Quantity::InclineY]
            .iter()
            .all(|quantity| quantities.contains(quantity))
}

/// The value of a quantity in a reading, in the reading's units.
pub(crate) fn value_of(reading: &Reading, quantity: Quantity) -> Option<f64> {
    let axis_of =
        |triple: Option<[f64; 3]>, axis: Axis| triple.map(|mut triple| *axis.of(&mut triple));
    match quantity {
        Quantity::Time => reading.device_time_us,
        Quantity::Sequence => reading.sequence.map(f64::from),
        Quantity::Temperature => reading.temperature_c,
        Quantity::Axis(Triple::Accel, axis) => axis_of(reading.accel_g, axis),
        Quantity::Axis(Triple::Rate, axis) => axis_of(reading.rate_radps, axis),
        Quantity::Axis(Triple::Attitude, axis) => {
            axis_of(reading.attitude_rad, axis).or_else(|| {
                let [roll, pitch] = reading.tilt_rad?;
                match axis {
                    Axis::X => Some(roll),
                    Axis::Y => Some(pitch),
                    Axis::Z => None,
                }
            })
        }
        Quantity::InclineX => roll_pitch(reading).map(|[_, pitch]| -pitch),
        Quantity::InclineY => {
            roll_pitch(reading).map(|[roll, pitch]| (roll.sin() * pitch.cos()).asin())
        }
    }
}

fn roll_pitch(reading: &Reading) -> Option<[f64; 2]> {
    let attitude = reading.attitude_rad.map(|[roll, pitch, _]| [roll, pitch]);
    attitude.or(reading.tilt_rad)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A board pitched nose up by 30° and rolled by 40°: its x arrow points 30° up,
    /// its y arrow asin(sin 40° · cos 30°) = 33.8258° (worked out by hand).
    #[test]
    fn inclines_of_two_arrows_are_roll_and_pitch() {
        let mut draft = Draft::default();
        for (quantity, deg) in [(Quantity::InclineX, 30.0), (Quantity::InclineY, 33.8258)] {
            let field = Field::new(Subject::One(quantity), Unit::Degree);
            draft.set(quantity, field, deg).expect("finite");
        }
        let reading = draft.finish().expect("usable");
        let [roll, pitch] = reading.tilt_rad.expect("told").map(f64::to_degrees);
        assert!(
            (roll - 40.0).abs() < 1e-3 && (pitch + 30.0).abs() < 1e-9,
            "{roll} {pitch}"
        );
        let back = value_of(&reading, Quantity::InclineY).map(f64::to_degrees);
        assert!(
            back.is_some_and(|deg| (deg - 33.8258).abs() < 1e-6),
            "{back:?}"
        );
    }

    #[test]
    fn inclines_that_cannot_be_at_once_are_no_tilt() {
        assert_eq!(tilt_of(1.0, 1.0), None);
        assert!(tilt_of(0.7, 0.8).is_some());
    }
}
