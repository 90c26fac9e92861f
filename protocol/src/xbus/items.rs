//! The items of an `MTData2` message: `XDI(2) length(1) data`, big-endian.

use crate::quaternion;
use crate::reading::{Reading, STANDARD_GRAVITY_MPS2};

/// Kind of an item without format and frame of reference.
const KIND: u16 = 0xfff0;
pub(super) const COUNTER: u16 = 0x1020;
pub(super) const SAMPLE_TIME_FINE: u16 = 0x1060;
pub(super) const QUATERNION: u16 = 0x2010;
pub(super) const EULER_ANGLES: u16 = 0x2030;
pub(super) const ACCELERATION: u16 = 0x4020;
pub(super) const RATE_OF_TURN: u16 = 0x8020;
pub(super) const TEMPERATURE: u16 = 0x0810;

/// Lower bits of the item: the world is north, east, down. Otherwise its z points up.
const NED: u16 = 0x4;
const FRAME_OF_REFERENCE: u16 = 0xc;

/// How numbers are written, by the lowest bits of the item.
#[derive(Debug, Clone, Copy)]
enum Precision {
    Float32,
    Fixed12p20,
    Fixed16p32,
    Float64,
}

const COUNTS_OF_12P20: f64 = 1_048_576.0;
const COUNTS_OF_16P32: f64 = 4_294_967_296.0;

impl Precision {
    fn of(item: u16) -> Self {
        match item & 0x3 {
            0 => Self::Float32,
            1 => Self::Fixed12p20,
            2 => Self::Fixed16p32,
            _ => Self::Float64,
        }
    }

    fn bytes(self) -> usize {
        match self {
            Self::Float32 | Self::Fixed12p20 => 4,
            Self::Fixed16p32 => 6,
            Self::Float64 => 8,
        }
    }

    fn number(self, bytes: &[u8]) -> Option<f64> {
        Some(match self {
            Self::Float32 => f32::from_be_bytes(bytes.try_into().ok()?).into(),
            Self::Fixed12p20 => {
                f64::from(i32::from_be_bytes(bytes.try_into().ok()?)) / COUNTS_OF_12P20
            }
            // The fraction comes first, then the whole (MT low-level protocol, from memory).
            Self::Fixed16p32 => {
                let (fraction, whole) = bytes.split_first_chunk()?;
                f64::from(i16::from_be_bytes(whole.try_into().ok()?))
                    + f64::from(u32::from_be_bytes(*fraction)) / COUNTS_OF_16P32
            }
            Self::Float64 => f64::from_be_bytes(bytes.try_into().ok()?),
        })
    }

    /// As many finite numbers as are asked for, and nothing behind them.
    fn numbers<const N: usize>(self, data: &[u8]) -> Option<[f64; N]> {
        if data.len() != N * self.bytes() {
            return None;
        }
        let mut numbers = [0.0; N];
        for (number, bytes) in numbers.iter_mut().zip(data.chunks_exact(self.bytes())) {
            *number = self.number(bytes)?;
        }
        numbers
            .iter()
            .all(|number| number.is_finite())
            .then_some(numbers)
    }
}

/// What the items of a message hold.
#[derive(Debug, Default)]
pub(super) struct Taken {
    /// Everything but the time.
    pub(super) reading: Reading,
    /// Fine sample time as it came.
    pub(super) ticks: Option<u32>,
}

/// Reads what is known and passes over what is not.
pub(super) fn read(mut data: &[u8]) -> Taken {
    let mut taken = Taken::default();
    let mut of_quaternion = None;
    while let Some(([high, low, length], rest)) = data.split_first_chunk::<3>() {
        let Some((value, after)) = rest.split_at_checked((*length).into()) else {
            break;
        };
        data = after;
        let item = u16::from_be_bytes([*high, *low]);
        let precision = Precision::of(item);
        let upwards = |attitude_rad| {
            if item & FRAME_OF_REFERENCE == NED {
                quaternion::world_upside_down(attitude_rad)
            } else {
                attitude_rad
            }
        };
        let reading = &mut taken.reading;
        match item & KIND {
            COUNTER => {
                let counter = value.try_into().ok().map(u16::from_be_bytes);
                reading.sequence = counter.map(u32::from);
            }
            SAMPLE_TIME_FINE => taken.ticks = value.try_into().ok().map(u32::from_be_bytes),
            QUATERNION => {
                let attitude_rad = precision.numbers(value).and_then(quaternion::attitude_rad);
                of_quaternion = attitude_rad.map(upwards);
            }
            EULER_ANGLES => {
                let angles_deg = precision.numbers::<3>(value);
                reading.attitude_rad =
                    angles_deg.map(|angles| upwards(angles.map(f64::to_radians)));
            }
            ACCELERATION => {
                let accel_mps2 = precision.numbers::<3>(value);
                reading.accel_g =
                    accel_mps2.map(|accel| accel.map(|value| value / STANDARD_GRAVITY_MPS2));
            }
            RATE_OF_TURN => reading.rate_radps = precision.numbers(value),
            TEMPERATURE => {
                reading.temperature_c = precision.numbers(value).map(|[celsius]: [f64; 1]| celsius);
            }
            _ => {}
        }
    }
    taken.reading.attitude_rad = taken.reading.attitude_rad.or(of_quaternion);
    taken
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(kind: u16, value: &[u8]) -> Vec<u8> {
        let [high, low] = kind.to_be_bytes();
        let length = u8::try_from(value.len()).expect("short");
        [&[high, low, length], value].concat()
    }

    /// 1.5 and −0.25 in every precision, worked out from the layout.
    #[test]
    fn numbers_are_read_in_every_precision() {
        let cases: [(u16, &[u8], &[u8]); 4] = [
            (0, &[0x3f, 0xc0, 0, 0], &[0xbe, 0x80, 0, 0]),
            (1, &[0x00, 0x18, 0, 0], &[0xff, 0xfc, 0, 0]),
            (2, &[0x80, 0, 0, 0, 0, 1], &[0xc0, 0, 0, 0, 0xff, 0xff]),
            (
                3,
                &[0x3f, 0xf8, 0, 0, 0, 0, 0, 0],
                &[0xbf, 0xd0, 0, 0, 0, 0, 0, 0],
            ),
        ];
        for (precision, large, small) in cases {
            let data = item(RATE_OF_TURN | precision, &[large, small, large].concat());
            let rate_radps = read(&data).reading.rate_radps;
            assert_eq!(rate_radps, Some([1.5, -0.25, 1.5]), "{precision}");
        }
    }

    #[test]
    fn what_is_not_known_is_passed_over_and_what_does_not_fit_is_left_out() {
        let accel = item(ACCELERATION, &[0; 12]);
        let data = [item(0xc020, &[1; 12]), accel.clone(), item(0xe020, &[0; 4])].concat();
        assert_eq!(read(&data).reading.accel_g, Some([0.0; 3]));
        for bad in [
            item(RATE_OF_TURN, &[0; 11]),
            item(RATE_OF_TURN, &[0xff; 12]),
            item(EULER_ANGLES, &[]),
            item(QUATERNION, &[0; 16]),
            vec![0x80, 0x20, 12, 0],
            vec![0x80],
        ] {
            let reading = read(&[accel.clone(), bad].concat()).reading;
            assert_eq!(reading.accel_g, Some([0.0; 3]));
            assert_eq!((reading.rate_radps, reading.attitude_rad), (None, None));
        }
    }

    /// A board lying level, z up: towards north, east, down it is turned by 180° of roll.
    #[test]
    fn an_attitude_towards_a_world_that_points_down_is_turned_up() {
        let angles = |degrees: [f32; 3]| degrees.map(f32::to_be_bytes).concat();
        let upward = item(EULER_ANGLES, &angles([10.0, 5.0, 30.0]));
        let downward = item(EULER_ANGLES | NED, &angles([-170.0, -5.0, -30.0]));
        let [up, down] = [upward, downward].map(|data| read(&data).reading.attitude_rad);
        let (up, down) = (up.expect("angles"), down.expect("angles"));
        for (up, down) in up.into_iter().zip(down) {
            assert!((up - down).abs() < 1e-6, "{up} {down}");
        }
    }
}
