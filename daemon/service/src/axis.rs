//! The six directions printed on a board, as people write and read them.

use hubplumb_core::calibrate::Face;
use hubplumb_core::mounting::BoardAxis;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A direction printed on a board.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
pub enum AxisName {
    /// Along the arrow X.
    #[serde(rename = "+x")]
    XPlus,
    /// Against the arrow X.
    #[serde(rename = "-x")]
    XMinus,
    /// Along the arrow Y.
    #[serde(rename = "+y")]
    YPlus,
    /// Against the arrow Y.
    #[serde(rename = "-y")]
    YMinus,
    /// Along the arrow Z, out of the face with the chip.
    #[serde(rename = "+z")]
    ZPlus,
    /// Against the arrow Z.
    #[serde(rename = "-z")]
    ZMinus,
}

impl AxisName {
    /// The direction written so.
    pub fn named(written: &str) -> Option<Self> {
        match written {
            "+x" => Some(Self::XPlus),
            "-x" => Some(Self::XMinus),
            "+y" => Some(Self::YPlus),
            "-y" => Some(Self::YMinus),
            "+z" => Some(Self::ZPlus),
            "-z" => Some(Self::ZMinus),
            _ => None,
        }
    }
}

impl From<AxisName> for BoardAxis {
    fn from(name: AxisName) -> Self {
        match name {
            AxisName::XPlus => Self::XPlus,
            AxisName::XMinus => Self::XMinus,
            AxisName::YPlus => Self::YPlus,
            AxisName::YMinus => Self::YMinus,
            AxisName::ZPlus => Self::ZPlus,
            AxisName::ZMinus => Self::ZMinus,
        }
    }
}

impl From<BoardAxis> for AxisName {
    fn from(axis: BoardAxis) -> Self {
        match axis {
            BoardAxis::XPlus => Self::XPlus,
            BoardAxis::XMinus => Self::XMinus,
            BoardAxis::YPlus => Self::YPlus,
            BoardAxis::YMinus => Self::YMinus,
            BoardAxis::ZPlus => Self::ZPlus,
            BoardAxis::ZMinus => Self::ZMinus,
        }
    }
}

impl From<Face> for AxisName {
    fn from(face: Face) -> Self {
        match face {
            Face::PlusX => Self::XPlus,
            Face::MinusX => Self::XMinus,
            Face::PlusY => Self::YPlus,
            Face::MinusY => Self::YMinus,
            Face::PlusZ => Self::ZPlus,
            Face::MinusZ => Self::ZMinus,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_direction_is_written_as_it_is_read() {
        for axis in BoardAxis::ALL {
            let name = AxisName::from(axis);
            let written = serde_json::to_value(name).unwrap();
            assert_eq!(AxisName::named(written.as_str().unwrap()), Some(name));
            assert_eq!(BoardAxis::from(name), axis);
        }
        assert_eq!(AxisName::named("up"), None);
    }
}
