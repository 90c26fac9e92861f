//! Toe: as an angle, as a length at a diameter, as side slip.

use crate::angle::Angle;
use crate::length::Length;
use crate::toe;

use super::number::{Scan, written};
use super::{
    Accepted, AngleForm, LengthUnit, NotationError, Problem, read_angle, read_length, write_angle,
    write_length,
};

/// Feet in a mile.
const FEET_PER_MILE: f64 = 5280.0;

/// How toe is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToeUnit {
    /// As an angle.
    Angle(AngleForm),
    /// As a difference of lengths at the diameter of the [`Reference`].
    Length(LengthUnit),
    /// Side slip, m/km, which is mm/m.
    MetresPerKilometre,
    /// Side slip, ft/mile.
    FeetPerMile,
}

/// Whose toe it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wheels {
    /// That of one wheel.
    One,
    /// The sum over an axle; a length or a side slip is then made up of two alike.
    Axle,
}

/// What a toe that is no angle refers to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reference {
    /// One wheel or an axle.
    pub wheels: Wheels,
    /// Diameter for toe as a length.
    pub diameter: Option<Length>,
}

impl Reference {
    fn by_length(&self, length: Length, at: usize) -> Result<Angle, NotationError> {
        let wrong = |problem| NotationError { at, problem };
        let diameter = self.diameter.ok_or(wrong(Problem::DiameterMissing))?;
        let toe = match self.wheels {
            Wheels::One => toe::from_length(length, diameter),
            Wheels::Axle => toe::total_from_length(length, diameter),
        };
        toe.ok_or(wrong(Problem::BeyondDiameter))
    }

    fn by_slip(&self, ratio: f64) -> Angle {
        match self.wheels {
            Wheels::One => toe::from_side_slip(ratio),
            Wheels::Axle => toe::from_side_slip(ratio / 2.0) * 2.0,
        }
    }

    fn slip_of(&self, angle: Angle) -> f64 {
        match self.wheels {
            Wheels::One => toe::to_side_slip(angle),
            Wheels::Axle => toe::to_side_slip(angle * 0.5) * 2.0,
        }
    }
}

/// Reads toe in whatever way it is written; a number without unit is in `bare`.
pub fn read_toe(text: &str, bare: ToeUnit, reference: &Reference) -> Result<Angle, NotationError> {
    match written_unit(text)?.unwrap_or(bare) {
        ToeUnit::Angle(form) => read_angle(text, form),
        ToeUnit::Length(unit) => {
            let end = text.chars().count();
            reference.by_length(read_length(text, unit)?, end)
        }
        ToeUnit::MetresPerKilometre => Ok(reference.by_slip(slope(text)? * 1e-3)),
        ToeUnit::FeetPerMile => Ok(reference.by_slip(slope(text)? / FEET_PER_MILE)),
    }
}

/// The unit in a text: a mark of an angle anywhere, or whatever follows the last
/// digit; none for a bare number, nor for what is no unit.
fn written_unit(text: &str) -> Result<Option<ToeUnit>, NotationError> {
    // Which of them it is, reading the figure will tell.
    const ANGLE: ToeUnit = ToeUnit::Angle(AngleForm::Degrees);
    const LENGTH: ToeUnit = ToeUnit::Length(LengthUnit::Millimetre);
    let mut scan = Scan::new(text)?;
    let chars: Vec<char> = text.chars().collect();
    let behind = chars.iter().rposition(char::is_ascii_digit);
    let behind = behind.map_or(0, |at| at + 1);
    let mut marked = false;
    while scan.at() < behind {
        if scan.angle_mark() {
            marked = true;
        } else {
            scan.skip();
        }
    }
    scan.spaces();
    if marked || scan.angle_mark() {
        return Ok(Some(ANGLE));
    }
    Ok(slope_unit(&mut scan).or_else(|| LengthUnit::scanned(&mut scan).map(|_| LENGTH)))
}

fn slope_unit(scan: &mut Scan) -> Option<ToeUnit> {
    [
        ("m/km", ToeUnit::MetresPerKilometre),
        ("mm/m", ToeUnit::MetresPerKilometre),
        ("ft/mile", ToeUnit::FeetPerMile),
        ("ft/mi", ToeUnit::FeetPerMile),
    ]
    .into_iter()
    .find(|(word, _)| scan.word(word))
    .map(|(_, unit)| unit)
}

/// The number of a side slip.
fn slope(text: &str) -> Result<f64, NotationError> {
    let mut scan = Scan::new(text)?;
    let negative = scan.sign();
    let value = scan
        .decimal(&[Accepted::Sign, Accepted::Digit])?
        .settled(false)?
        .value;
    scan.spaces();
    slope_unit(&mut scan);
    scan.spaces();
    scan.end(&[Accepted::SlopeUnit, Accepted::End])?;
    Ok(if negative { -value } else { value })
}

/// Prints toe with so many decimals; none as a length without a diameter.
pub fn write_toe(
    angle: Angle,
    unit: ToeUnit,
    reference: &Reference,
    decimals: usize,
) -> Option<String> {
    let decimals = decimals.min(6);
    Some(match unit {
        ToeUnit::Angle(form) => write_angle(angle, form, decimals),
        ToeUnit::Length(length) => {
            let diameter = reference.diameter?;
            let difference = match reference.wheels {
                Wheels::One => toe::as_length(angle, diameter),
                Wheels::Axle => toe::total_as_length(angle, diameter),
            };
            write_length(difference, length, decimals)
        }
        ToeUnit::MetresPerKilometre => {
            format!("{} m/km", written(reference.slip_of(angle) * 1e3, decimals))
        }
        ToeUnit::FeetPerMile => {
            let feet = reference.slip_of(angle) * FEET_PER_MILE;
            format!("{} ft/mile", written(feet, decimals))
        }
    })
}
