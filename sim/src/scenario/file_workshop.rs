//! What a workshop finds and changes, as the scenario file writes it.

use serde::Deserialize;

use crate::car::Wheel;

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct JointsFile {
    pub(super) layout: LayoutFile,
    pub(super) joint_height_mm: Option<f64>,
    pub(super) lower_below_mm: Option<f64>,
    pub(super) upper_arm_mm: Option<f64>,
    pub(super) bolts_mm: Option<f64>,
    pub(super) joint_ahead_mm: Option<f64>,
    pub(super) steering_arm_mm: Option<f64>,
    pub(super) tie_rod_mm: Option<f64>,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum LayoutFile {
    #[default]
    Wishbone,
    Strut,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct BumpFile {
    pub(super) camber_deg_per_mm: f64,
    pub(super) camber_deg_per_mm2: f64,
    pub(super) toe_deg_per_mm: f64,
    pub(super) toe_deg_per_mm2: f64,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct PlayFile {
    pub(super) top_bottom_deg: f64,
    pub(super) front_rear_deg: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RimFile {
    pub(super) run_out_mm: f64,
    pub(super) diameter_mm: f64,
    #[serde(default)]
    pub(super) high_at_deg: f64,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct SteeringFile {
    pub(super) ratio: Option<f64>,
    pub(super) off_centre_deg: f64,
    pub(super) lock_left_deg: Option<f64>,
    pub(super) lock_right_deg: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct TapeFile {
    pub(super) tape_sigma_mm: f64,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct BarFile {
    pub(super) seat_deg: f64,
}

/// A home-made block that a board is carried in.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct BlockFile {
    pub(super) faces_deg: f64,
    pub(super) lean_deg: [f64; 2],
}

/// How a hand carries it; what is not given is usual.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct HandFile {
    pub(super) tremble_dps: Option<f64>,
    pub(super) pressed_dps: Option<f64>,
    pub(super) lean_deg: Option<f64>,
    pub(super) aside_deg: Option<f64>,
    pub(super) detour_mm: Option<f64>,
    pub(super) seat_deg: Option<f64>,
    pub(super) seat_lean_deg: Option<f64>,
    pub(super) level_deg: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AdjusterFile {
    pub(super) wheel: Wheel,
    pub(super) name: String,
    pub(super) what: AdjusterKindFile,
    #[serde(default)]
    pub(super) backlash: f64,
    #[serde(default)]
    pub(super) needs_bounce: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "snake_case")]
pub(super) enum AdjusterKindFile {
    TieRod(TieRodFile),
    UpperArmShim(ShimFile),
    Eccentric(EccentricFile),
    ContactShim(ContactShimFile),
    StrutBolt(Nothing),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Nothing {}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TieRodFile {
    pub(super) pitch_mm: f64,
    #[serde(default)]
    pub(super) sleeve: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum BoltFile {
    Front,
    Rear,
    Both,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ShimFile {
    pub(super) bolt: BoltFile,
    #[serde(default)]
    pub(super) inward: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum ShiftedFile {
    LowerArm,
    UpperArm,
    LinkBehind,
    LinkAhead,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EccentricFile {
    pub(super) throw_mm: f64,
    #[serde(default)]
    pub(super) mark_deg: f64,
    pub(super) shifts: ShiftedFile,
    pub(super) lever_mm: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ContactShimFile {
    pub(super) plate_mm: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DamageFile {
    pub(super) wheel: Option<Wheel>,
    pub(super) what: DamageKindFile,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "snake_case")]
pub(super) enum DamageKindFile {
    BentKnuckle(BentKnuckleFile),
    JointMoved(JointMovedFile),
    BentSteeringArm(BentArmFile),
    AxleShifted(AxleShiftedFile),
    SetBack(SetBackFile),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BentKnuckleFile {
    pub(super) camber_deg: f64,
    #[serde(default)]
    pub(super) toe_deg: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum JointFile {
    Lower,
    Upper,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JointMovedFile {
    pub(super) joint: JointFile,
    #[serde(default)]
    pub(super) outward_mm: f64,
    #[serde(default)]
    pub(super) rearward_mm: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BentArmFile {
    pub(super) bend_deg: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AxleShiftedFile {
    #[serde(default)]
    pub(super) turned_deg: f64,
    #[serde(default)]
    pub(super) sideways_mm: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SetBackFile {
    pub(super) by_mm: f64,
}
