//! How a board sits on the thing it is strapped to.

use nalgebra::{Matrix3, Rotation3, Vector3};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::car::Side;

/// Which way a face of a board looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Facing {
    /// To the front of the car.
    Forward,
    /// To the rear.
    Back,
    /// To the car's left.
    Left,
    /// To the car's right.
    Right,
    /// Up.
    Up,
    /// Down.
    Down,
    /// Along the spindle, away from the car. Hubs only.
    Out,
    /// Along the spindle, towards the car. Hubs only.
    In,
}

impl Facing {
    /// Direction in hub or chassis axes; none for `in` and `out` on the body.
    fn direction(self, side: Option<Side>) -> Option<Vector3<f64>> {
        let (x, y, z) = (Vector3::x(), Vector3::y(), Vector3::z());
        Some(match self {
            Self::Forward => x,
            Self::Back => -x,
            Self::Left => y,
            Self::Right => -y,
            Self::Up => z,
            Self::Down => -z,
            Self::Out => y * side?.sign(),
            Self::In => -y * side?.sign(),
        })
    }
}

/// Why declared axes make no sense.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum AxesError {
    /// Not exactly two of x, y and z are given.
    #[error("{given} of the board's axes are declared; declare two of x, y and z")]
    NotTwo {
        /// How many were.
        given: usize,
    },
    /// Two axes along one line.
    #[error("both declared axes lie along one line; they must be square to each other")]
    OneLine,
    /// `in` or `out` on the body.
    #[error("`in` and `out` are directions of a hub; use left or right on the body")]
    NoSpindle,
}

/// Orientation and place of a board, in the axes of the frame it is fastened to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Takes board vectors to the axes of the hub (or chassis).
    pub rotation: Rotation3<f64>,
    /// Place of the chip from the wheel centre (or chassis origin), m, hub (or chassis) axes.
    pub lever_m: Vector3<f64>,
}

impl Placement {
    /// The rotation by which two of the board's axes look where they are declared to.
    ///
    /// `side` is the hub's side, none on the body.
    pub fn declared(
        x: Option<Facing>,
        y: Option<Facing>,
        z: Option<Facing>,
        side: Option<Side>,
    ) -> Result<Rotation3<f64>, AxesError> {
        let look = |facing: Option<Facing>| {
            facing
                .map(|facing| facing.direction(side).ok_or(AxesError::NoSpindle))
                .transpose()
        };
        let (x, y, z) = match (look(x)?, look(y)?, look(z)?) {
            (Some(x), Some(y), None) => (x, y, x.cross(&y)),
            (Some(x), None, Some(z)) => (x, z.cross(&x), z),
            (None, Some(y), Some(z)) => (y.cross(&z), y, z),
            (x, y, z) => {
                let given = [x, y, z].into_iter().flatten().count();
                return Err(AxesError::NotTwo { given });
            }
        };
        let axes = Matrix3::from_columns(&[x, y, z]);
        if axes.determinant() < 0.5 {
            return Err(AxesError::OneLine);
        }
        Ok(Rotation3::from_matrix_unchecked(axes))
    }

    /// The same, turned by a small rotation vector about the board's own axes, degrees.
    pub fn tilted(rotation: Rotation3<f64>, by_deg: [f64; 3]) -> Rotation3<f64> {
        let turn = Vector3::from(by_deg).map(f64::to_radians);
        rotation * Rotation3::from_scaled_axis(turn)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn declared_axes_look_where_they_say() {
        use Facing::{Back, Forward, In, Left, Out, Right, Up};
        let cases = [
            (
                Some(Forward),
                None,
                Some(Out),
                Some(Side::Left),
                [0.0, 0.0, -1.0],
            ),
            (
                Some(Forward),
                None,
                Some(Out),
                Some(Side::Right),
                [0.0, 0.0, 1.0],
            ),
            (None, Some(Up), Some(Out), Some(Side::Left), [0.0, 0.0, 1.0]),
            (
                Some(Back),
                Some(Up),
                None,
                Some(Side::Right),
                [0.0, 0.0, 1.0],
            ),
            (Some(Forward), Some(Left), None, None, [0.0, 1.0, 0.0]),
            (
                Some(Forward),
                None,
                Some(In),
                Some(Side::Left),
                [0.0, 0.0, 1.0],
            ),
            (None, Some(Right), Some(Up), None, [0.0, -1.0, 0.0]),
        ];
        for (x, y, z, side, y_in_hub) in cases {
            let rotation = Placement::declared(x, y, z, side).expect("square axes");
            assert!((rotation.matrix().determinant() - 1.0).abs() < 1e-12);
            let y_axis = rotation * Vector3::y();
            assert!(
                (y_axis - Vector3::from(y_in_hub)).norm() < 1e-12,
                "{x:?} {y:?} {z:?}"
            );
        }
    }

    #[test]
    fn impossible_declarations_are_refused() {
        use Facing::{Back, Forward, Left, Out, Up};
        let cases = [
            (Some(Forward), None, None, AxesError::NotTwo { given: 1 }),
            (
                Some(Forward),
                Some(Left),
                Some(Up),
                AxesError::NotTwo { given: 3 },
            ),
            (Some(Forward), Some(Back), None, AxesError::OneLine),
            (Some(Forward), None, Some(Out), AxesError::NoSpindle),
        ];
        for (x, y, z, error) in cases {
            assert_eq!(Placement::declared(x, y, z, None), Err(error));
        }
    }
}
