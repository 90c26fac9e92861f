//! Frames of reference, and vectors and rotations that know theirs.
//!
//! All frames are right-handed and follow ISO 8855: X forward, Y left, Z up.
//!
//! | frame | fixed to | X | Y | Z |
//! |---|---|---|---|---|
//! | [`Board`] | the sensor board | as printed on the chip | ditto | ditto |
//! | [`Hub`] | the wheel carrier, brake locked | forward at straight-ahead | left, along the spindle | up |
//! | [`Floor`] | the four pads the wheels stand on | the car's forward direction in the floor plane | left | normal to the floor, up |
//!
//! The spindle (spin axis) points along +Y of the hub on the left and along −Y
//! on the right when it is taken outboard; [`crate::side::Side`] owns that mirror and
//! nothing else does.
//!
//! Mixing frames does not compile:
//!
//! ```compile_fail
//! use hubplumb_core::frames::{Board, Floor, Vec3};
//! let up_seen: Vec3<Board> = Vec3::new(0.0, 0.0, 1.0);
//! let up_true: Vec3<Floor> = Vec3::new(0.0, 0.0, 1.0);
//! let _ = up_seen.dot(&up_true);
//! ```
//!
//! nor does composing rotations whose ends do not meet:
//!
//! ```compile_fail
//! use hubplumb_core::frames::{Board, Floor, Hub, Rot};
//! fn wrong(a: Rot<Board, Hub>, b: Rot<Board, Floor>) -> Rot<Board, Floor> {
//!     a.then(&b)
//! }
//! ```

use std::marker::PhantomData;
use std::ops::{Add, Mul, Neg, Sub};

use nalgebra::{Matrix3, Rotation3, UnitQuaternion, Vector3};

use crate::angle::Angle;

/// A frame of reference. Implemented by the marker types of this module only.
pub trait Frame: Copy + std::fmt::Debug + private::Sealed {}

mod private {
    pub trait Sealed {}
}

macro_rules! frame {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub struct $name;
        impl private::Sealed for $name {}
        impl Frame for $name {}
    };
}

frame!(
    /// The sensor board's own axes.
    Board
);
frame!(
    /// The wheel carrier, with the brake locked.
    Hub
);
frame!(
    /// The floor the wheels stand on.
    Floor
);

/// A vector in frame `F`. Its unit is the business of whoever holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vec3<F: Frame>(Vector3<f64>, PhantomData<F>);

impl<F: Frame> Vec3<F> {
    /// Components along X, Y and Z of `F`.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self(Vector3::new(x, y, z), PhantomData)
    }

    /// Components as an array.
    pub const fn from_array([x, y, z]: [f64; 3]) -> Self {
        Self::new(x, y, z)
    }

    /// The zero vector.
    pub const fn zero() -> Self {
        Self::new(0.0, 0.0, 0.0)
    }

    /// X component.
    pub fn x(&self) -> f64 {
        self.0.x
    }

    /// Y component.
    pub fn y(&self) -> f64 {
        self.0.y
    }

    /// Z component.
    pub fn z(&self) -> f64 {
        self.0.z
    }

    /// Components along X, Y and Z.
    pub fn to_array(&self) -> [f64; 3] {
        self.0.into()
    }

    /// Length.
    pub fn norm(&self) -> f64 {
        self.0.norm()
    }

    /// Scalar product.
    pub fn dot(&self, other: &Self) -> f64 {
        self.0.dot(&other.0)
    }

    /// Vector product, right-handed.
    #[must_use]
    pub fn cross(&self, other: &Self) -> Self {
        Self(self.0.cross(&other.0), PhantomData)
    }

    /// All components finite?
    pub fn is_finite(&self) -> bool {
        self.0.iter().all(|c| c.is_finite())
    }

    /// Largest magnitude among the components.
    pub fn max_abs(&self) -> f64 {
        self.0.amax()
    }

    /// A linear map that stays in the frame, such as a scale and cross-axis matrix.
    #[must_use]
    pub fn mapped(&self, matrix: &Matrix3<f64>) -> Self {
        Self(matrix * self.0, PhantomData)
    }
}

impl<F: Frame> Add for Vec3<F> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0, PhantomData)
    }
}

impl<F: Frame> Sub for Vec3<F> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0, PhantomData)
    }
}

impl<F: Frame> Neg for Vec3<F> {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0, PhantomData)
    }
}

impl<F: Frame> Mul<f64> for Vec3<F> {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor, PhantomData)
    }
}

/// A direction in frame `F`: a vector of length one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dir<F: Frame>(Vec3<F>);

impl<F: Frame> Dir<F> {
    /// The direction of `v`; none when `v` is zero or not finite.
    pub fn along(v: Vec3<F>) -> Option<Self> {
        let length = v.norm();
        (length.is_finite() && length > f64::MIN_POSITIVE).then(|| Self(v * (1.0 / length)))
    }

    /// +X of the frame.
    pub const fn x_axis() -> Self {
        Self(Vec3::new(1.0, 0.0, 0.0))
    }

    /// +Y of the frame.
    pub const fn y_axis() -> Self {
        Self(Vec3::new(0.0, 1.0, 0.0))
    }

    /// +Z of the frame.
    pub const fn z_axis() -> Self {
        Self(Vec3::new(0.0, 0.0, 1.0))
    }

    /// The opposite direction.
    #[must_use]
    pub const fn reversed(&self) -> Self {
        let v = &self.0.0.data.0[0];
        Self(Vec3::new(-v[0], -v[1], -v[2]))
    }

    /// As a vector of length one.
    pub fn vec(&self) -> Vec3<F> {
        self.0
    }

    /// Cosine of the angle to `other`.
    pub fn dot(&self, other: &Self) -> f64 {
        self.0.dot(&other.0)
    }

    /// Angle to `other`, exact for small angles too.
    pub fn angle_to(&self, other: &Self) -> Angle {
        Angle::from_rad(self.0.cross(&other.0).norm().atan2(self.dot(other)))
    }

    /// Two directions square to this one and to each other; with it they form
    /// a right-handed triad (first, second, self).
    pub fn square_pair(&self) -> (Self, Self) {
        // The frame axis least along self gives the best conditioned product.
        let [x, y, z] = self.0.to_array().map(f64::abs);
        let helper = if x <= y && x <= z {
            Self::x_axis()
        } else if y <= z {
            Self::y_axis()
        } else {
            Self::z_axis()
        };
        let first = helper.0.cross(&self.0);
        let first = Self(first * (1.0 / first.norm()));
        let second = Self(self.0.cross(&first.0));
        (first, second)
    }
}

impl<F: Frame> Neg for Dir<F> {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

/// A rotation that takes components in `From` to components in `To`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rot<From: Frame, To: Frame>(UnitQuaternion<f64>, PhantomData<(From, To)>);

impl<A: Frame, B: Frame> Rot<A, B> {
    /// Claims that both frames share their axes. The caller knows why.
    pub fn asserting_same_axes() -> Self {
        Self(UnitQuaternion::identity(), PhantomData)
    }

    /// Claims that `first` of `A` is `first_to` of `B`, and that `second` lies
    /// on the side of `second_to`. None when a pair is parallel.
    pub fn from_pairs(first: (Dir<A>, Dir<B>), second: (Dir<A>, Dir<B>)) -> Option<Self> {
        let from = triad(first.0, second.0)?;
        let to = triad(first.1, second.1)?;
        let rotation = Rotation3::from_matrix_unchecked(to * from.transpose());
        Some(Self(
            UnitQuaternion::from_rotation_matrix(&rotation),
            PhantomData,
        ))
    }

    /// Components of `v` in `B`.
    pub fn apply(&self, v: &Vec3<A>) -> Vec3<B> {
        Vec3(self.0 * v.0, PhantomData)
    }

    /// A direction in `B`.
    pub fn apply_dir(&self, d: &Dir<A>) -> Dir<B> {
        Dir(self.apply(&d.0))
    }

    /// This rotation, then `next`.
    #[must_use]
    pub fn then<C: Frame>(&self, next: &Rot<B, C>) -> Rot<A, C> {
        Rot(next.0 * self.0, PhantomData)
    }

    /// The way back.
    #[must_use]
    pub fn inverse(&self) -> Rot<B, A> {
        Rot(self.0.inverse(), PhantomData)
    }
}

impl<A: Frame> Rot<A, A> {
    /// No rotation.
    pub fn identity() -> Self {
        Self(UnitQuaternion::identity(), PhantomData)
    }

    /// Rotation by the vector `v` (axis times angle in radians).
    pub fn by_vector(v: &Vec3<A>) -> Self {
        Self(UnitQuaternion::from_scaled_axis(v.0), PhantomData)
    }

    /// Axis times angle in radians, angle at most half a turn.
    pub fn to_vector(&self) -> Vec3<A> {
        Vec3(self.0.scaled_axis(), PhantomData)
    }
}

fn triad<F: Frame>(first: Dir<F>, second: Dir<F>) -> Option<Matrix3<f64>> {
    let third = Dir::along(first.vec().cross(&second.vec()))?;
    let middle = third.vec().cross(&first.vec());
    Some(Matrix3::from_columns(&[first.0.0, middle.0, third.0.0]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_dir() -> impl Strategy<Value = Dir<Board>> {
        ([-1.0..1.0, -1.0..1.0, -1.0..1.0f64])
            .prop_map(|c| Dir::along(Vec3::from_array(c)))
            .prop_filter_map("no direction", |d| d)
    }

    proptest! {
        #[test]
        fn square_pair_is_a_right_handed_triad(d in any_dir()) {
            let (a, b) = d.square_pair();
            prop_assert!(a.dot(&b).abs() < 1e-12 && a.dot(&d).abs() < 1e-12 && b.dot(&d).abs() < 1e-12);
            prop_assert!((a.vec().cross(&b.vec()) - d.vec()).norm() < 1e-12);
        }

        #[test]
        fn pairs_are_met_and_lengths_kept(a in any_dir(), b in any_dir(), v in any_dir()) {
            prop_assume!(a.vec().cross(&b.vec()).norm() > 1e-3);
            let rot: Rot<Board, Floor> = Rot::from_pairs((a, Dir::z_axis()), (b, Dir::x_axis())).unwrap();
            prop_assert!((rot.apply_dir(&a).vec() - Dir::z_axis().vec()).norm() < 1e-9);
            let seen = rot.apply_dir(&b);
            prop_assert!(seen.vec().y().abs() < 1e-9 && seen.vec().x() > 0.0);
            prop_assert!((rot.apply(&v.vec()).norm() - 1.0).abs() < 1e-12);
            prop_assert!((rot.inverse().apply(&rot.apply(&v.vec())) - v.vec()).norm() < 1e-12);
        }
    }

    #[test]
    fn small_angles_between_directions_are_exact() {
        let tilted = Dir::<Floor>::along(Vec3::new(1e-9, 0.0, 1.0)).unwrap();
        let angle = tilted.angle_to(&Dir::z_axis()).rad();
        assert!((angle - 1e-9).abs() < 1e-18, "{angle}");
    }
}
