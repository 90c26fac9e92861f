//! Texts to figures.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::length::Length;
use hubplumb_core::notation::{AngleForm, LengthUnit, read_angle, read_length};

use crate::car::AxleRecord;
use crate::http::problem::Problem;
use crate::present::notation::figure_problem;
use crate::text;
use crate::text::Text;

/// What a steel rule is read to, standard; common practice, no source.
pub(super) const RULE: Length = Length::from_mm(0.3);
/// What a diameter over the flange is known to, standard; common practice, no source.
const DIAMETER: Length = Length::from_mm(1.0);
/// Run-out from least to most at the side of a rim that nobody measured; common
/// practice, no source.
const RUN_OUT: Length = Length::from_mm(1.0);

/// A length.
pub(super) fn length(field: impl Into<Text>, text: &str) -> Result<Length, Problem> {
    read_length(text, LengthUnit::Millimetre).map_err(|error| figure_problem(field, text, error))
}

/// A length that may be left out.
pub(super) fn length_or(
    field: impl Into<Text>,
    text: Option<&String>,
    otherwise: Length,
) -> Result<Length, Problem> {
    text.map_or(Ok(otherwise), |text| length(field, text))
}

/// An angle in degrees that may be left out.
pub(super) fn angle_or(
    field: impl Into<Text>,
    text: Option<&String>,
    otherwise: Angle,
) -> Result<Angle, Problem> {
    text.map_or(Ok(otherwise), |text| {
        read_angle(text, AngleForm::Degrees).map_err(|error| figure_problem(field, text, error))
    })
}

/// The diameter that was measured at: as told, else the rim's flange of the record.
pub(super) fn diameter(
    field: impl Into<Text>,
    text: Option<&String>,
    axle: &AxleRecord,
) -> Result<Entered<Length>, Problem> {
    let told = match (text, axle.rim_flange_mm) {
        (Some(text), _) => length(field, text)?,
        (None, Some(flange)) => Length::from_mm(flange),
        (None, None) => {
            return Err(super::wanting(
                text!(
                    "{field}: the diameter at which was measured is not told, and the car's record has no rim flange.",
                    field = field.into()
                ),
                text!(
                    "Measure the diameter over the rim's flange (or the tyre) where the distances were taken, and enter it."
                ),
            ));
        }
    };
    Ok(Entered::new(told, DIAMETER, Source::Diameter))
}

/// Run-out as the angle that it may add to toe.
pub(super) fn run_out(
    text: Option<&String>,
    diameter: &Entered<Length>,
) -> Result<Entered<Angle>, Problem> {
    let total = length_or(text!("run-out"), text, RUN_OUT)?;
    Ok(hubplumb_core::toe::run_out(total, diameter.value))
}
