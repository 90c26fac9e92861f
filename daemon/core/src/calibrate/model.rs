//! The nine numbers of a calibration, and how a pose depends on them.

use nalgebra::{Matrix3, SMatrix, SVector};

use crate::frames::{Board, Dir, Vec3};

/// Beyond this condition number nine poses do not hold the nine numbers. The six
/// faces with three edges have 2.7; nine poses thrown at random have 18 at the
/// median, and then one number is known ten times worse than it could be.
pub(super) const WHOLE_CONDITION: f64 = 12.0;

pub(super) type Vector9 = SVector<f64, 9>;
pub(super) type Matrix9 = SMatrix<f64, 9, 9>;

/// The numbers of `calibrated = M (read − b)`, with `M` symmetric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Parameter {
    /// Offset `b` along X, g.
    OffsetX,
    /// Offset along Y, g.
    OffsetY,
    /// Offset along Z, g.
    OffsetZ,
    /// Entry XX of `M` less one.
    ScaleX,
    /// Entry YY less one.
    ScaleY,
    /// Entry ZZ less one.
    ScaleZ,
    /// Entries XY and YX of `M`, rad.
    CrossXY,
    /// Entries XZ and ZX, rad.
    CrossXZ,
    /// Entries YZ and ZY, rad.
    CrossYZ,
}

impl Parameter {
    /// All nine, in the order of the covariance.
    pub const ALL: [Self; 9] = [
        Self::OffsetX,
        Self::OffsetY,
        Self::OffsetZ,
        Self::ScaleX,
        Self::ScaleY,
        Self::ScaleZ,
        Self::CrossXY,
        Self::CrossXZ,
        Self::CrossYZ,
    ];
    /// The offsets.
    pub const OFFSETS: [Self; 3] = [Self::OffsetX, Self::OffsetY, Self::OffsetZ];
    /// The scales.
    pub const SCALES: [Self; 3] = [Self::ScaleX, Self::ScaleY, Self::ScaleZ];
    /// The cross-axis terms.
    pub const CROSSES: [Self; 3] = [Self::CrossXY, Self::CrossXZ, Self::CrossYZ];

    /// Place in the covariance.
    pub const fn index(self) -> usize {
        self as usize
    }
}

pub(super) fn offset_g(p: &Vector9) -> Vec3<Board> {
    Vec3::new(p[0], p[1], p[2])
}

pub(super) fn matrix(p: &Vector9) -> Matrix3<f64> {
    Matrix3::new(
        1.0 + p[3],
        p[6],
        p[7],
        p[6],
        1.0 + p[4],
        p[8],
        p[7],
        p[8],
        1.0 + p[5],
    )
}

/// How far a calibrated reading is from one gravity, and what moves it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// Length of the calibrated reading less one, g.
    pub(super) residual_g: f64,
    /// Its slopes in the nine numbers.
    pub(super) slopes: Vector9,
    /// How much of a reading's noise, alike along all axes, reaches it.
    pub(super) gain: f64,
}

impl Row {
    /// None where the calibrated reading has no length.
    pub(super) fn at(p: &Vector9, read_g: &Vec3<Board>) -> Option<Self> {
        let m = matrix(p);
        let from = *read_g - offset_g(p);
        let seen = from.mapped(&m);
        let up = Dir::along(seen)?.vec().to_array();
        // M is symmetric: its transpose is itself.
        let back = Vec3::<Board>::from_array(up).mapped(&m);
        let [fx, fy, fz] = from.to_array();
        let [ux, uy, uz] = up;
        Some(Self {
            residual_g: seen.norm() - 1.0,
            slopes: Vector9::from([
                -back.x(),
                -back.y(),
                -back.z(),
                ux * fx,
                uy * fy,
                uz * fz,
                ux * fy + uy * fx,
                ux * fz + uz * fx,
                uy * fz + uz * fy,
            ]),
            gain: back.norm(),
        })
    }
}

/// Condition number of the nine numbers for a chip without error that was laid
/// so, every number measured in its own unit; infinite when one does not show.
pub(super) fn condition(ups: &[Dir<Board>]) -> f64 {
    let rows = ups
        .iter()
        .filter_map(|up| Row::at(&Vector9::zeros(), &up.vec()));
    let information: Matrix9 = rows.map(|row| row.slopes * row.slopes.transpose()).sum();
    let lengths = information.diagonal().map(f64::sqrt);
    if lengths.min() <= 0.0 {
        return f64::INFINITY;
    }
    let scaled = Matrix9::from_fn(|r, c| information[(r, c)] / (lengths[r] * lengths[c]));
    let eigenvalues = scaled.symmetric_eigenvalues();
    let least = eigenvalues.min();
    // Rounding leaves a vanished eigenvalue on either side of zero.
    if least <= 1e-14 {
        f64::INFINITY
    } else {
        (eigenvalues.max() / least).sqrt()
    }
}

/// Do poses with these directions of up hold all nine numbers?
pub(super) fn spread_is_whole(ups: &[Dir<Board>]) -> bool {
    condition(ups) <= WHOLE_CONDITION
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn slopes_are_those_of_the_residual(
            p in prop::array::uniform9(-0.05..0.05f64),
            read in prop::array::uniform3(0.3..1.0f64),
        ) {
            let p = Vector9::from(p);
            let read = Vec3::from_array(read);
            let row = Row::at(&p, &read).unwrap();
            for parameter in Parameter::ALL {
                let step = 1e-6;
                let moved = |by: f64| {
                    let mut q = p;
                    q[parameter.index()] += by;
                    Row::at(&q, &read).unwrap().residual_g
                };
                let slope = (moved(step) - moved(-step)) / (2.0 * step);
                prop_assert!((slope - row.slopes[parameter.index()]).abs() < 1e-8, "{parameter:?}");
            }
        }
    }

    #[test]
    fn conditions_agree_with_singular_values() {
        // numpy.linalg.cond of the same nine columns, each scaled to length one.
        let check = |ups: &[[f64; 3]], expected: f64| {
            let ups: Vec<_> = ups
                .iter()
                .map(|u| Dir::along(Vec3::from_array(*u)).unwrap())
                .collect();
            let found = condition(&ups);
            assert!(
                found == expected || (found / expected - 1.0).abs() < 1e-9,
                "{found} for {expected}"
            );
        };
        let faces = [
            [1.0, 0.0, 0.0],
            [-1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
            [0.0, -1.0, 0.0],
            [0.0, 0.0, 1.0],
            [0.0, 0.0, -1.0],
        ];
        let edges = [[1.0, 1.0, 0.0], [1.0, 0.0, -1.0], [0.0, -1.0, 1.0]];
        check(&faces, f64::INFINITY);
        check(&[&faces[..], &edges].concat(), 2.661_485_884_400_537);
        let more = [[1.0, -1.0, 0.0], [-1.0, 0.0, -1.0], [0.0, -1.0, -1.0]];
        check(
            &[&faces[..], &edges, &more].concat(),
            2.080_991_825_180_650_7,
        );
        // Three edges between the same two axes tell nothing of the others.
        let one_pair = [[1.0, 1.0, 0.0], [-1.0, 1.0, 0.0], [1.0, -1.0, 0.0]];
        check(&[&faces[..], &one_pair].concat(), f64::INFINITY);
    }
}
