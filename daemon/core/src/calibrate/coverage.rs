//! Which ways up a board has been, and which it should still be laid.

use crate::angle::Angle;
use crate::frames::{Board, Dir, Vec3};

use super::model;

/// A face is up when up is within this of its axis.
const FACE_WITHIN: Angle = Angle::from_deg(25.0);
/// Product of the two components that makes a pose tell of the angle between
/// two axes: lying on the edge between them gives 0.5.
const EDGE_PRODUCT: f64 = 0.3;
/// Poses that do for the matrix as a whole.
pub(super) const WHOLE: usize = 9;

/// A face of the board, by the axis that points up when it is up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    /// +X up.
    PlusX,
    /// −X up.
    MinusX,
    /// +Y up.
    PlusY,
    /// −Y up.
    MinusY,
    /// +Z up.
    PlusZ,
    /// −Z up.
    MinusZ,
}

impl Face {
    /// All six.
    pub const ALL: [Self; 6] = [
        Self::PlusX,
        Self::MinusX,
        Self::PlusY,
        Self::MinusY,
        Self::PlusZ,
        Self::MinusZ,
    ];

    /// The direction that is up when this face is.
    pub const fn up(self) -> Dir<Board> {
        match self {
            Self::PlusX => Dir::x_axis(),
            Self::MinusX => Dir::x_axis().reversed(),
            Self::PlusY => Dir::y_axis(),
            Self::MinusY => Dir::y_axis().reversed(),
            Self::PlusZ => Dir::z_axis(),
            Self::MinusZ => Dir::z_axis().reversed(),
        }
    }

    /// The face that is up, if one is.
    pub fn of(up: &Dir<Board>) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|face| up.angle_to(&face.up()) <= FACE_WITHIN)
    }
}

/// A pair of axes whose angle shows when the board lies on an edge between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Edge {
    /// Between X and Y.
    XY,
    /// Between X and Z.
    XZ,
    /// Between Y and Z.
    YZ,
}

impl Edge {
    /// All three.
    pub const ALL: [Self; 3] = [Self::XY, Self::XZ, Self::YZ];

    /// Does a pose tell of this pair?
    pub fn is_shown_by(self, up: &Dir<Board>) -> bool {
        let v: Vec3<Board> = up.vec();
        let product = match self {
            Self::XY => v.x() * v.y(),
            Self::XZ => v.x() * v.z(),
            Self::YZ => v.y() * v.z(),
        };
        product.abs() >= EDGE_PRODUCT
    }
}

/// Are the poses enough to solve?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Enough {
    /// Not yet.
    No,
    /// Enough for offset and scale; the cross-axis terms stay what data sheets say.
    OffsetAndScale,
    /// Enough for everything.
    Everything,
}

/// What the poses cover so far.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coverage {
    faces: [bool; 6],
    edges: [bool; 3],
    poses: usize,
    enough: Enough,
}

impl Coverage {
    /// Of poses, by where up was in each.
    pub fn of(ups: &[Dir<Board>]) -> Self {
        let faces = Face::ALL.map(|face| ups.iter().any(|up| Face::of(up) == Some(face)));
        let edges = Edge::ALL.map(|edge| ups.iter().any(|up| edge.is_shown_by(up)));
        let spread = ups.len() >= WHOLE && model::spread_is_whole(ups);
        let enough = if spread {
            Enough::Everything
        } else if faces == [true; 6] {
            Enough::OffsetAndScale
        } else {
            Enough::No
        };
        Self {
            faces,
            edges,
            poses: ups.len(),
            enough,
        }
    }

    /// Poses taken.
    pub const fn poses(&self) -> usize {
        self.poses
    }

    /// Are they enough?
    pub const fn enough(&self) -> Enough {
        self.enough
    }

    /// Has this face been up?
    pub fn has(&self, face: Face) -> bool {
        self.faces_with(true).any(|f| f == face)
    }

    /// Faces that have not been up. The first is as good as any to ask for next.
    pub fn missing_faces(&self) -> impl Iterator<Item = Face> {
        self.faces_with(false)
    }

    /// Pairs of axes that no pose tells of yet: what is still needed for
    /// [`Enough::Everything`] once all faces have been up.
    pub fn missing_edges(&self) -> impl Iterator<Item = Edge> {
        Edge::ALL
            .into_iter()
            .zip(self.edges)
            .filter_map(|(edge, shown)| (!shown).then_some(edge))
    }

    fn faces_with(&self, been_up: bool) -> impl Iterator<Item = Face> {
        Face::ALL
            .into_iter()
            .zip(self.faces)
            .filter_map(move |(face, up)| (up == been_up).then_some(face))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dir(x: f64, y: f64, z: f64) -> Dir<Board> {
        Dir::along(Vec3::new(x, y, z)).unwrap()
    }

    #[test]
    fn a_face_is_the_axis_that_points_up() {
        for face in Face::ALL {
            assert_eq!(Face::of(&face.up()), Some(face));
        }
        assert_eq!(Face::of(&dir(0.1, -0.2, -1.0)), Some(Face::MinusZ));
        assert_eq!(Face::of(&dir(1.0, 0.0, 1.0)), None);
    }

    #[test]
    fn poses_are_enough_by_their_faces_and_then_by_their_edges() {
        let mut ups: Vec<Dir<Board>> = Face::ALL.map(Face::up).to_vec();
        let check = |ups: &[Dir<Board>], enough: Enough, faces: &[Face], edges: &[Edge]| {
            let coverage = Coverage::of(ups);
            assert_eq!(coverage.enough(), enough, "{coverage:?}");
            assert_eq!(coverage.poses(), ups.len());
            assert_eq!(coverage.missing_faces().collect::<Vec<_>>(), faces);
            assert_eq!(coverage.missing_edges().collect::<Vec<_>>(), edges);
        };
        check(&[], Enough::No, &Face::ALL, &Edge::ALL);
        check(&ups[..5], Enough::No, &[Face::MinusZ], &Edge::ALL);
        check(&ups, Enough::OffsetAndScale, &[], &Edge::ALL);
        ups.push(dir(1.0, 1.0, 0.0));
        check(&ups, Enough::OffsetAndScale, &[], &[Edge::XZ, Edge::YZ]);
        ups.push(dir(1.0, 0.0, -1.0));
        ups.push(dir(0.0, -1.0, 1.0));
        check(&ups, Enough::Everything, &[], &[]);
    }

    #[test]
    fn nine_poses_to_one_side_are_not_enough() {
        let ups: Vec<Dir<Board>> = (0..9)
            .map(|i| {
                let turn = f64::from(i) * 0.7;
                dir(turn.cos(), turn.sin(), 0.3 + 0.1 * f64::from(i))
            })
            .collect();
        assert_eq!(Coverage::of(&ups).enough(), Enough::No);
    }

    #[test]
    fn nine_poses_need_not_be_faces() {
        // Corners of the cube and three edges: no face is ever up.
        let mut ups = Vec::new();
        for x in [-1.0, 1.0] {
            for y in [-1.0, 1.0] {
                ups.push(dir(x, y, 1.0));
                ups.push(dir(x, y, -1.0));
            }
        }
        ups.extend([dir(1.0, 1.0, 0.0), dir(1.0, 0.0, 1.0), dir(0.0, 1.0, 1.0)]);
        ups.extend([
            dir(-1.0, 0.6, 0.0),
            dir(0.6, 0.0, -1.0),
            dir(0.0, 1.0, -0.6),
        ]);
        let coverage = Coverage::of(&ups);
        assert_eq!(coverage.enough(), Enough::Everything, "{coverage:?}");
        assert_eq!(Coverage::of(&ups[..8]).enough(), Enough::No);
    }
}
