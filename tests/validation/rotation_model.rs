//! A steered wheel by plain 3-D rotation (Rodrigues' formula), sharing no code
//! with the crate under test: truth comes from elsewhere.
//!
//! Frame of one wheel, mirrored on the right side: x forward, o outboard, z up.
//! Toe-in, top outboard, axis top rearward and axis top inboard are positive.

type Vector = [f64; 3];

/// A steering axis and the wheel on it, straight ahead.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wheel {
    axis: Vector,
    /// Spin axis, pointing outboard.
    spindle: Vector,
    /// Direction of the locked hub that points forward and level when straight ahead.
    forward: Vector,
}

/// What a perfect observer reads off the wheel at one steer position.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(
    clippy::struct_field_names,
    reason = "names carry their unit where the type cannot"
)]
pub(crate) struct Pose {
    /// Plan-view heading of the spin axis.
    pub(crate) toe_in_deg: f64,
    pub(crate) camber_deg: f64,
    /// Plan-view heading of the hub's forward direction.
    pub(crate) hub_toe_in_deg: f64,
    /// Front of the hub up.
    pub(crate) hub_pitch_deg: f64,
}

impl Wheel {
    /// Caster and inclination are the angles seen from the side and from the front.
    pub(crate) fn new(caster_deg: f64, sai_deg: f64, camber_deg: f64, toe_in_deg: f64) -> Self {
        let (camber, toe) = (camber_deg.to_radians(), toe_in_deg.to_radians());
        let axis = [
            -caster_deg.to_radians().tan(),
            -sai_deg.to_radians().tan(),
            1.0,
        ];
        Self {
            axis: unit(axis),
            spindle: [
                camber.cos() * toe.sin(),
                camber.cos() * toe.cos(),
                -camber.sin(),
            ],
            forward: [toe.cos(), -toe.sin(), 0.0],
        }
    }

    /// The wheel turned about its steering axis, front inboard positive.
    pub(crate) fn turned(&self, about_axis_deg: f64) -> Pose {
        // x, o, z is right-handed on the left wheel, where inboard is a turn to the right.
        let angle = -about_axis_deg.to_radians();
        let spindle = rotate(self.spindle, self.axis, angle);
        let forward = rotate(self.forward, self.axis, angle);
        Pose {
            toe_in_deg: spindle[0].atan2(spindle[1]).to_degrees(),
            camber_deg: (-spindle[2]).asin().to_degrees(),
            hub_toe_in_deg: (-forward[1]).atan2(forward[0]).to_degrees(),
            hub_pitch_deg: forward[2].asin().to_degrees(),
        }
    }

    /// The wheel turned until its spin axis has the given heading in plan view.
    pub(crate) fn headed(&self, toe_in_deg: f64) -> Pose {
        let (mut low, mut high) = (-60.0, 60.0);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if self.turned(middle).toe_in_deg < toe_in_deg {
                low = middle;
            } else {
                high = middle;
            }
        }
        self.turned(low)
    }
}

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn unit(a: Vector) -> Vector {
    let length = dot(a, a).sqrt();
    a.map(|component| component / length)
}

fn rotate(v: Vector, axis: Vector, angle_rad: f64) -> Vector {
    let (sin, cos) = angle_rad.sin_cos();
    let cross = [
        axis[1] * v[2] - axis[2] * v[1],
        axis[2] * v[0] - axis[0] * v[2],
        axis[0] * v[1] - axis[1] * v[0],
    ];
    let along = dot(axis, v) * (1.0 - cos);
    [0, 1, 2].map(|i| v[i] * cos + cross[i] * sin + axis[i] * along)
}

#[test]
fn an_upright_axis_turns_the_heading_alone() {
    let pose = Wheel::new(0.0, 0.0, -1.0, 0.0).turned(20.0);
    for (is, should) in [
        (pose.toe_in_deg, 20.0),
        (pose.camber_deg, -1.0),
        (pose.hub_toe_in_deg, 20.0),
        (pose.hub_pitch_deg, 0.0),
    ] {
        assert!((is - should).abs() < 1e-12, "{pose:?}");
    }
}

#[test]
fn camber_goes_negative_when_steered_in_on_an_axis_leaning_back() {
    // From the trade: with positive caster the outer wheel of a turn gains negative camber.
    assert!(Wheel::new(5.0, 0.0, 0.0, 0.0).turned(20.0).camber_deg < -1.0);
}
