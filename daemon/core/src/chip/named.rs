//! Chips by the name that a person writes.

use super::ChipFigures;
use super::data_sheet::DataSheet;
use super::makers;

/// A class of chips, or one chip by its name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Chip {
    /// A class; its figures say by themselves whether it is calibrated.
    Class(&'static ChipFigures),
    /// A chip as its maker describes it.
    Product(&'static DataSheet),
}

impl Chip {
    /// The class or the chip of that name. Chips may be written as on the chip: `LSM6DSO`, `MPU-6050`.
    pub fn named(name: &str) -> Option<Self> {
        if let Some(class) = ChipFigures::class(name) {
            return Some(Self::Class(class));
        }
        Self::product(name).map(Self::Product)
    }

    /// The chip of that name; a class is none.
    pub fn product(name: &str) -> Option<&'static DataSheet> {
        let plain: String = name
            .chars()
            .filter(|letter| !matches!(letter, '-' | ' '))
            .map(|letter| letter.to_ascii_lowercase())
            .collect();
        Self::products().find(|sheet| sheet.name == plain)
    }

    /// Every chip that has a name of its own.
    pub fn products() -> impl Iterator<Item = &'static DataSheet> {
        makers::ALL.into_iter()
    }

    /// All names, classes first.
    pub fn names() -> impl Iterator<Item = &'static str> {
        let products = Self::products().map(|sheet| sheet.name);
        ChipFigures::NAMES.into_iter().chain(products)
    }

    /// What it can be trusted for, as it is or after a calibration of its accelerometer in poses.
    pub fn figures(&self, calibrated: bool) -> ChipFigures {
        match self {
            Self::Class(figures) => **figures,
            Self::Product(sheet) if calibrated => sheet.calibrated(),
            Self::Product(sheet) => sheet.raw(),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn names_are_read_as_people_write_them() {
        let check = |written: &str, name: Option<&str>| {
            let found = Chip::product(written).map(|sheet| sheet.name);
            assert_eq!(found, name, "{written}");
        };
        check("lsm6dso", Some("lsm6dso"));
        check("LSM6DSO", Some("lsm6dso"));
        check("MPU-6050", Some("mpu6050"));
        check("mpu 6050", Some("mpu6050"));
        check("cheap", None);
        check("lsm6", None);
        check("", None);
    }

    #[test]
    fn no_name_stands_for_two() {
        let names: BTreeSet<_> = Chip::names().collect();
        assert_eq!(names.len(), Chip::names().count());
        for name in names {
            let chip = Chip::named(name).unwrap();
            assert_eq!(
                Chip::product(name).is_some(),
                matches!(chip, Chip::Product(_))
            );
        }
    }
}
