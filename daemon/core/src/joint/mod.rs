//! One estimate from all that a session knows.
//!
//! The state holds the steering axis, the spindle in the board's axes, the
//! attitude at the first rest, the turn at every other, and as nuisances what
//! may be wrong: offset and matrix of the accelerometer, matrix of the gyro,
//! local gravity, the floor, the body. Each nuisance has a prior from the
//! chip's class or from what the operator stated; a gyro trusted by its noise
//! alone would make a cheap chip worse. The maximum of the posterior is found
//! by Gauss-Newton with a numeric Jacobian, its covariance is the inverse of
//! the normal matrix, and the share of every cause is what its rows put into it.

pub mod evidence;
pub(crate) mod point;
pub(crate) mod rows;
pub mod solve;
