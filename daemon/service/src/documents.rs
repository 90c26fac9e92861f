//! The documents that describe what the program takes and gives: the HTTP interface, and its files.
//!
//! They are drawn from the types, and kept in `docs`. The program hands them out as they were kept when it was built.

use std::io::{self, Read as _};

use flate2::read::GzDecoder;
use schemars::schema_for;

use crate::car::CarRecord;
use crate::http;
use crate::publishing::Published;
use crate::recording::session_file::SessionFile;
use crate::recording::solution::Solution;
use crate::store::Export;

/// A document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Document {
    /// The HTTP interface (OpenAPI 3.1).
    Interface,
    /// A car's file (JSON Schema, as all that follow).
    Car,
    /// What is published by MQTT.
    Published,
    /// A session file of `hubplumb solve`.
    Session,
    /// What `hubplumb solve` tells.
    Solution,
    /// An export of visits.
    Visits,
}

impl Document {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Interface,
        Self::Car,
        Self::Published,
        Self::Session,
        Self::Solution,
        Self::Visits,
    ];

    /// Its file in `docs`.
    pub const fn file(self) -> &'static str {
        match self {
            Self::Interface => "openapi.json",
            Self::Car => "car.schema.json",
            Self::Published => "published.schema.json",
            Self::Session => "session.schema.json",
            Self::Solution => "solution.schema.json",
            Self::Visits => "visits.schema.json",
        }
    }

    const fn packed(self) -> &'static [u8] {
        match self {
            Self::Interface => include_bytes!(concat!(env!("OUT_DIR"), "/openapi.json.gz")),
            Self::Car => include_bytes!(concat!(env!("OUT_DIR"), "/car.schema.json.gz")),
            Self::Published => {
                include_bytes!(concat!(env!("OUT_DIR"), "/published.schema.json.gz"))
            }
            Self::Session => include_bytes!(concat!(env!("OUT_DIR"), "/session.schema.json.gz")),
            Self::Solution => include_bytes!(concat!(env!("OUT_DIR"), "/solution.schema.json.gz")),
            Self::Visits => include_bytes!(concat!(env!("OUT_DIR"), "/visits.schema.json.gz")),
        }
    }

    /// As it was kept when the program was built, with the end of its last line.
    ///
    /// # Errors
    ///
    /// None that is known: it is packed by the build.
    pub fn kept(self) -> io::Result<String> {
        let mut text = String::new();
        GzDecoder::new(self.packed()).read_to_string(&mut text)?;
        Ok(text)
    }

    /// Drawn from the types, with the end of its last line.
    ///
    /// # Errors
    ///
    /// None that is known: all of it is text and numbers.
    pub fn drawn(self) -> serde_json::Result<String> {
        let mut text = match self {
            Self::Interface => http::openapi().to_pretty_json()?,
            Self::Car => serde_json::to_string_pretty(&schema_for!(CarRecord))?,
            Self::Published => serde_json::to_string_pretty(&schema_for!(Published))?,
            Self::Session => serde_json::to_string_pretty(&schema_for!(SessionFile))?,
            Self::Solution => serde_json::to_string_pretty(&schema_for!(Solution))?,
            Self::Visits => serde_json::to_string_pretty(&schema_for!(Export))?,
        };
        text.push('\n');
        Ok(text)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    #[test]
    fn what_is_kept_is_what_is_drawn() {
        for document in Document::ALL {
            let (file, drawn) = (document.file(), document.drawn().unwrap());
            assert!(
                document.kept().unwrap() == drawn,
                "docs/{file} is out of date: `cargo run -p hubplumb --example document {file} > docs/{file}`"
            );
        }
    }
}
