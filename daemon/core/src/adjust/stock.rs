//! Packs made of the shims that are there.

use super::refusal::{AdjustError, Dimension, positive};

/// Most thicknesses searched; shims are sold in fewer. With [`PIECES_AT_MOST`]
/// this bounds the search to some hundred thousand packs.
pub const THICKNESSES_AT_MOST: usize = 12;

/// Most shims in a pack. Thin shims in number settle under the bolt: common
/// practice, no source.
pub const PIECES_AT_MOST: usize = 8;

/// Packs that differ by less are equal: a tenth of what a sheet gauge reads, mm.
const EQUAL_MM: f64 = 0.005;

/// Thicknesses at hand, any number of each.
#[derive(Debug, Clone, PartialEq)]
pub struct ShimStock {
    thicknesses_mm: Vec<f64>,
}

/// A pack of shims.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// The shims, thickest first, mm.
    pub pieces_mm: Vec<f64>,
    /// Together, mm.
    pub total_mm: f64,
}

impl ShimStock {
    /// From the thicknesses at hand, mm.
    pub fn new(thicknesses_mm: &[f64]) -> Result<Self, AdjustError> {
        let found = thicknesses_mm.len();
        if found == 0 || found > THICKNESSES_AT_MOST {
            return Err(AdjustError::Stock {
                found,
                most: THICKNESSES_AT_MOST,
            });
        }
        let mut sorted = thicknesses_mm
            .iter()
            .map(|thickness| positive(Dimension::Shim, *thickness))
            .collect::<Result<Vec<_>, _>>()?;
        sorted.sort_by(|a, b| b.total_cmp(a));
        Ok(Self {
            thicknesses_mm: sorted,
        })
    }

    /// The pack nearest to `wanted_mm`, of the fewest shims; an empty one where
    /// that is nearest.
    pub fn nearest(&self, wanted_mm: f64) -> Pack {
        let mut best = Pack {
            pieces_mm: Vec::new(),
            total_mm: 0.0,
        };
        self.search(wanted_mm, 0, &mut Vec::new(), 0.0, &mut best);
        best
    }

    fn search(&self, wanted: f64, from: usize, pieces: &mut Vec<f64>, total: f64, best: &mut Pack) {
        let gain = (best.total_mm - wanted).abs() - (total - wanted).abs();
        let fewer = pieces.len() < best.pieces_mm.len();
        if gain > EQUAL_MM || (gain > -EQUAL_MM && fewer) {
            *best = Pack {
                pieces_mm: pieces.clone(),
                total_mm: total,
            };
        }
        // Past the wanted thickness another shim only leads further away.
        if total >= wanted || pieces.len() == PIECES_AT_MOST {
            return;
        }
        for index in from..self.thicknesses_mm.len() {
            let thickness = self.thicknesses_mm[index];
            pieces.push(thickness);
            self.search(wanted, index, pieces, total + thickness, best);
            pieces.pop();
        }
    }
}
