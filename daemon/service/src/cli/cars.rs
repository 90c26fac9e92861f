//! `hubplumb cars`

use std::fmt::Write as _;
use std::process::ExitCode;

use super::CliError;
use super::kept::{confirmed, text_of};
use super::solve::{json, print};
use super::visit_args::{CarsArgs, CarsCommand};
use crate::car::{self, CarRecord};
use crate::documents::Document;
use crate::http::visit_views::CarView;
use crate::present::{self, trouble};
use crate::visiting::now;

pub(super) fn cars(args: &CarsArgs) -> Result<ExitCode, CliError> {
    let place = &args.place;
    match &args.what {
        CarsCommand::List { json: as_json } => {
            let cars = place.look()?.cars()?;
            let cars: Vec<CarView> = cars.into_iter().map(present::car_view).collect();
            print(&if *as_json {
                json(&cars)?
            } else {
                listed(&cars)
            })?;
        }
        CarsCommand::Show { id, json: as_json } => {
            let car = present::car_view(place.look()?.car(*id)?);
            print(&if *as_json { json(&car)? } else { shown(&car)? })?;
        }
        CarsCommand::Import { file } => {
            let record = car::read(&text_of(file)?).map_err(|why| {
                CliError::Input(trouble(
                    "no_such_car_record",
                    format!("{}: {why}", file.display()),
                    "no car was added",
                    "correct what is named, or leave it out: what is not known may be missing; docs/car.example.toml shows every key",
                ))
            })?;
            let id = place.open()?.add_car(&record, &now())?;
            print(&format!("car {id}: {}\n", record.name))?;
        }
        CarsCommand::Export { id, json: as_json } => {
            let record = place.look()?.car(*id)?.record;
            print(&if *as_json {
                json(&record)?
            } else {
                toml(&record)?
            })?;
        }
        CarsCommand::Delete { id, yes } => {
            let store = place.look()?;
            let name = store.car(*id)?.record.name;
            confirmed(&format!("car {id}, {name} (its visits stay)"), *yes)?;
            store.remove_car(*id)?;
            print(&format!("car {id}, {name}, is forgotten\n"))?;
        }
        CarsCommand::Schema => print(&Document::Car.kept().map_err(CliError::Kept)?)?,
    }
    Ok(ExitCode::SUCCESS)
}

fn listed(cars: &[CarView]) -> String {
    if cars.is_empty() {
        return "No car is kept here. `hubplumb cars import FILE` adds one.\n".to_owned();
    }
    let mut text = String::new();
    for car in cars {
        let _ = writeln!(
            text,
            "{:>4}  {:<30}  changed {}",
            car.id, car.record.name, car.changed_at
        );
    }
    text
}

fn shown(car: &CarView) -> Result<String, CliError> {
    let mut text = format!("# car {}, changed {}\n", car.id, car.changed_at);
    text.push_str(&toml(&car.record)?);
    if !car.missing.is_empty() {
        text.push_str("\n# not known:\n");
        for missing in &car.missing {
            let _ = writeln!(text, "#   {missing}");
        }
    }
    Ok(text)
}

fn toml(record: &CarRecord) -> Result<String, CliError> {
    car::write_toml(record).map_err(CliError::Toml)
}
