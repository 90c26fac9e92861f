//! Two strings along the car.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::length::Length;
use hubplumb_core::side::Side;
use hubplumb_core::toe::{
    Across, AxleAtStrings, AxleToe, CarToe, GaugedStrings, HubDistances, RimReading, Strings,
    ToeFigure, WheelAtString, dog_track_offset,
};

use super::{Worked, angle, cannot_be, length, read, wanting};
use crate::car::{CarRecord, Corner};
use crate::http::problem::Problem;
use crate::http::visit_views::{EnteredFigures, StringDistances};
use crate::text;
use crate::text::{Text, number};
use crate::visit::{FindingRecord, Place, Procedure, Quantity};

/// What strings set up with care are parallel to, standard: 2 mm over 2.3 m; common practice, no source.
const DIRECTION: Angle = Angle::from_deg(0.05);
/// What a wheelbase or a track is known to, standard.
const CAR: Length = Length::from_mm(3.0);
/// What a steering ratio from a data sheet is good for, relative, standard; judgement.
const RATIO: f64 = 0.05;

struct Told<'a> {
    wheels: &'a [StringDistances],
    reading: Length,
    direction: Angle,
    run_out: Option<&'a String>,
}

pub(super) fn worked(figures: &EnteredFigures, car: &CarRecord) -> Result<Worked, Problem> {
    let EnteredFigures::Strings {
        front_diameter,
        rear_diameter,
        wheels,
        reading_standard,
        direction_standard,
        run_out,
    } = figures
    else {
        return Err(wanting(text!("No distances."), text!("Enter them.")));
    };
    let told = Told {
        wheels,
        reading: read::length_or(
            text!("uncertainty of a distance"),
            reading_standard.as_ref(),
            read::RULE,
        )?,
        direction: read::angle_or(
            text!("uncertainty of the strings"),
            direction_standard.as_ref(),
            DIRECTION,
        )?,
        run_out: run_out.as_ref(),
    };
    let axle = |front: bool| {
        let (text, record) = if front {
            (front_diameter.as_ref(), &car.front)
        } else {
            (rear_diameter.as_ref(), &car.rear)
        };
        told.axle(front, text, record)
    };
    let (front, rear) = (axle(true)?, axle(false)?);
    let (strings, how) = told.strings(car)?;
    let half_turned = wheels.iter().all(|wheel| wheel.turned_ahead.is_some());
    let method = if half_turned {
        text!(
            "Distances from two strings to the rims, again after half a turn of the wheels; {how}.",
            how
        )
    } else {
        text!(
            "Distances from two strings to the rims, the run-out left in; {how}.",
            how
        )
    };
    let (findings, covariance) = match (front, rear) {
        (Some(front), Some(rear)) => {
            let toe = AxleAtStrings::car(&front, &rear, &strings).map_err(cannot_be)?;
            of_car(&toe, car)?
        }
        (Some(front), None) => of_axle(&front.toe(&strings).map_err(cannot_be)?, true)?,
        (None, Some(rear)) => of_axle(&rear.toe(&strings).map_err(cannot_be)?, false)?,
        (None, None) => {
            return Err(wanting(
                text!("No axle has both its wheels."),
                text!("Enter the distances ahead and behind at both wheels of an axle."),
            ));
        }
    };
    Ok(Worked {
        procedure: Procedure::ToeStrings,
        method,
        findings,
        covariance,
    })
}

impl Told<'_> {
    fn at(&self, corner: Corner) -> Option<&StringDistances> {
        self.wheels.iter().find(|wheel| wheel.corner == corner)
    }

    fn tape(&self, field: Text, text: &str, source: Source) -> Result<Entered<Length>, Problem> {
        Ok(Entered::new(
            read::length(field, text)?,
            self.reading,
            source,
        ))
    }

    fn axle(
        &self,
        front: bool,
        diameter: Option<&String>,
        record: &crate::car::AxleRecord,
    ) -> Result<Option<AxleAtStrings>, Problem> {
        let (left, right) = if front {
            (Corner::FrontLeft, Corner::FrontRight)
        } else {
            (Corner::RearLeft, Corner::RearRight)
        };
        let (Some(left), Some(right)) = (self.at(left), self.at(right)) else {
            return Ok(None);
        };
        let field = if front {
            text!("front diameter")
        } else {
            text!("rear diameter")
        };
        let diameter = read::diameter(field, diameter, record)?;
        Ok(Some(AxleAtStrings {
            left: self.wheel(left, &diameter)?,
            right: self.wheel(right, &diameter)?,
            diameter,
        }))
    }

    fn wheel(
        &self,
        told: &StringDistances,
        diameter: &Entered<Length>,
    ) -> Result<WheelAtString, Problem> {
        let place = told.corner.words();
        let at = |part: Text| Text::listed([place.clone(), part]);
        let tape = |part: Text, text: &str| self.tape(at(part), text, Source::TapeReading);
        let first = RimReading {
            front: tape(text!("ahead"), &told.ahead)?,
            rear: tape(text!("behind"), &told.behind)?,
        };
        Ok(match (&told.turned_ahead, &told.turned_behind) {
            (Some(ahead), Some(behind)) => WheelAtString::HalfTurned {
                first,
                second: RimReading {
                    front: tape(text!("ahead after half a turn"), ahead)?,
                    rear: tape(text!("behind after half a turn"), behind)?,
                },
            },
            (None, None) => WheelAtString::Once {
                reading: first,
                run_out: read::run_out(self.run_out, diameter)?,
            },
            _ => {
                return Err(wanting(
                    text!(
                        "{place}: after half a turn there is one distance of two.",
                        place
                    ),
                    text!("Enter both distances after the half turn, or neither."),
                ));
            }
        })
    }

    /// How the strings lie, and the same in words.
    fn strings(&self, car: &CarRecord) -> Result<(Strings, Text), Problem> {
        let presumed = Strings::Presumed {
            standard: self.direction,
        };
        let hub = |corner| self.at(corner).and_then(|wheel| wheel.hub.as_deref());
        let hubs = Corner::ALL.map(hub);
        let ([Some(lf), Some(rf), Some(lr), Some(rr)], Some(front), Some(rear), Some(base)) = (
            hubs,
            car.front.track_mm,
            car.rear.track_mm,
            car.wheelbase_mm,
        ) else {
            let how = text!(
                "strings taken for parallel to within {within}° (one sigma)",
                within = number(self.direction.deg(), 2)
            );
            return Ok((presumed, how));
        };
        let read = |corner: Corner, text: &str| {
            self.tape(
                Text::listed([corner.words(), text!("hub")]),
                text,
                Source::StringToHub,
            )
        };
        let of_car = |mm: f64, source| Entered::new(Length::from_mm(mm), CAR, source);
        let gauged = GaugedStrings {
            left: HubDistances {
                front: read(Corner::FrontLeft, lf)?,
                rear: read(Corner::RearLeft, lr)?,
            },
            right: HubDistances {
                front: read(Corner::FrontRight, rf)?,
                rear: read(Corner::RearRight, rr)?,
            },
            across: Across::Tracks {
                front: of_car(front, Source::Width),
                rear: of_car(rear, Source::Width),
            },
            wheelbase: of_car(base, Source::Wheelbase),
        };
        let how = text!(
            "the strings' direction worked out from their distances to the four hubs, tracks and wheelbase"
        );
        Ok((Strings::Gauged(Box::new(gauged)), how))
    }
}

type Findings = (Vec<FindingRecord>, Vec<Vec<f64>>);

/// Where each figure of a car's toe belongs; none for those that are not shown.
const fn belongs(which: ToeFigure) -> Option<(Quantity, Place)> {
    match which {
        ToeFigure::LeftFront => Some((Quantity::Toe, Place::FrontLeft)),
        ToeFigure::RightFront => Some((Quantity::Toe, Place::FrontRight)),
        ToeFigure::LeftRear => Some((Quantity::Toe, Place::RearLeft)),
        ToeFigure::RightRear => Some((Quantity::Toe, Place::RearRight)),
        ToeFigure::TotalFront => Some((Quantity::TotalToe, Place::Front)),
        ToeFigure::TotalRear => Some((Quantity::TotalToe, Place::Rear)),
        ToeFigure::Thrust => Some((Quantity::Thrust, Place::Car)),
        ToeFigure::SteerAhead => Some((Quantity::SteerAhead, Place::Car)),
        ToeFigure::LeftFrontToThrust | ToeFigure::RightFrontToThrust => None,
    }
}

fn of_car(toe: &CarToe, car: &CarRecord) -> Result<Findings, Problem> {
    let correlated = toe.correlated().map_err(cannot_be)?;
    let shown: Vec<(usize, ToeFigure, Quantity, Place)> = ToeFigure::ALL
        .into_iter()
        .enumerate()
        .filter_map(|(index, which)| {
            belongs(which).map(|(quantity, place)| (index, which, quantity, place))
        })
        .collect();
    let mut findings: Vec<FindingRecord> = shown
        .iter()
        .map(|(_, which, quantity, place)| angle(*quantity, *place, &toe.figure(*which)))
        .collect();
    let square_deg = 1f64.to_degrees().powi(2);
    let covariance = shown
        .iter()
        .map(|(row, ..)| {
            shown
                .iter()
                .map(|(column, ..)| correlated.covariance()[(*row, *column)] * square_deg)
                .collect()
        })
        .collect();
    if let Some(ratio) = car.steering.ratio {
        let ratio = Entered::new(ratio, ratio * RATIO, Source::SteeringRatio);
        let turned = toe.steering_wheel(ratio).map_err(cannot_be)?;
        findings.push(angle(Quantity::SteeringWheel, Place::Car, &turned));
    }
    if let Some(base) = car.wheelbase_mm {
        let base = Entered::new(Length::from_mm(base), CAR, Source::Wheelbase);
        let offset = dog_track_offset(toe, base).map_err(cannot_be)?;
        findings.push(length(Quantity::DogTrack, Place::Car, &offset));
    }
    Ok((findings, covariance))
}

fn of_axle(toe: &AxleToe, front: bool) -> Result<Findings, Problem> {
    let (left, right, axle) = if front {
        (Place::FrontLeft, Place::FrontRight, Place::Front)
    } else {
        (Place::RearLeft, Place::RearRight, Place::Rear)
    };
    let total = toe.total().map_err(cannot_be)?;
    let findings = vec![
        angle(Quantity::Toe, left, &toe.wheel(Side::Left)),
        angle(Quantity::Toe, right, &toe.wheel(Side::Right)),
        angle(Quantity::TotalToe, axle, &total),
    ];
    Ok((findings, Vec::new()))
}
