//! The scenario file as it is written: units of people, every key known.

use std::collections::BTreeMap;

use hubplumb_protocol::WireFormat;
use serde::Deserialize;

use super::error::ScenarioError;
use super::faults::{DrawFile, FaultFile};
use super::file_workshop::{
    AdjusterFile, BarFile, BlockFile, BumpFile, DamageFile, HandFile, JointsFile, PlayFile,
    RimFile, SteeringFile, TapeFile,
};
use crate::board::{Facing, LinkSpec, Preset};
use crate::car::{Mount, Wheel};
use crate::motion::Rocked;

pub(super) fn read(text: &str) -> Result<ScenarioFile, ScenarioError> {
    toml::from_str(text).map_err(|error| ScenarioError::Toml {
        text: error.to_string(),
    })
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ScenarioFile {
    pub(super) name: String,
    #[serde(default)]
    pub(super) about: String,
    pub(super) seed: u64,
    #[serde(default = "locked")]
    pub(super) brake: BrakeFile,
    pub(super) script: Vec<StepFile>,
    #[serde(default)]
    pub(super) floor: FloorFile,
    #[serde(default)]
    pub(super) plates: PlatesFile,
    pub(super) car: CarFile,
    pub(super) board: Vec<BoardFile>,
    #[serde(default)]
    pub(super) strings: TapeFile,
    #[serde(default)]
    pub(super) bar: BarFile,
    #[serde(default)]
    pub(super) block: BlockFile,
    #[serde(default)]
    pub(super) hand: HandFile,
    #[serde(default)]
    pub(super) adjuster: Vec<AdjusterFile>,
    #[serde(default)]
    pub(super) damage: Vec<DamageFile>,
    #[serde(default)]
    pub(super) targets: BTreeMap<String, [f64; 2]>,
    #[serde(default)]
    pub(super) fault: Vec<FaultFile>,
    pub(super) faults: Option<DrawFile>,
}

fn locked() -> BrakeFile {
    BrakeFile::Locked
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum BrakeFile {
    Locked,
    Free,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct FloorFile {
    pub(super) roll_deg: f64,
    pub(super) pitch_deg: f64,
    pub(super) gravity_mps2: f64,
}

impl Default for FloorFile {
    fn default() -> Self {
        Self {
            roll_deg: 0.0,
            pitch_deg: 0.0,
            gravity_mps2: hubplumb_protocol::STANDARD_GRAVITY_MPS2,
        }
    }
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct PlatesFile {
    pub(super) reading_sigma_deg: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CarFile {
    pub(super) name: String,
    pub(super) track_mm: f64,
    pub(super) wheelbase_mm: f64,
    pub(super) wheel_radius_mm: f64,
    pub(super) front_left: FrontFile,
    pub(super) front_right: FrontFile,
    #[serde(default)]
    pub(super) rear_left: RearFile,
    #[serde(default)]
    pub(super) rear_right: RearFile,
    #[serde(default)]
    pub(super) linkage: LinkageFile,
    #[serde(default)]
    pub(super) body: BodyFile,
    #[serde(default)]
    pub(super) jack: JackFile,
    #[serde(default)]
    pub(super) idle: IdleFile,
    #[serde(default)]
    pub(super) steering: SteeringFile,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FrontFile {
    pub(super) caster_deg: f64,
    pub(super) sai_deg: f64,
    pub(super) camber_deg: f64,
    pub(super) toe_deg: f64,
    #[serde(default)]
    pub(super) axis_inboard_mm: f64,
    #[serde(default)]
    pub(super) axis_behind_mm: f64,
    #[serde(default)]
    pub(super) joints: JointsFile,
    #[serde(default)]
    pub(super) height_mm: f64,
    #[serde(default)]
    pub(super) bump: BumpFile,
    #[serde(default)]
    pub(super) play: PlayFile,
    pub(super) rim: Option<RimFile>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RearFile {
    pub(super) camber_deg: f64,
    pub(super) toe_deg: f64,
    #[serde(default)]
    pub(super) height_mm: f64,
    #[serde(default)]
    pub(super) bump: BumpFile,
    #[serde(default)]
    pub(super) play: PlayFile,
    pub(super) rim: Option<RimFile>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct LinkageFile {
    pub(super) ackermann_percent: Option<f64>,
    pub(super) spread_at_20_percent: Option<f64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
#[expect(
    clippy::struct_field_names,
    reason = "the names are the keys of the file"
)]
pub(super) struct BodyFile {
    pub(super) rest_roll_deg: f64,
    pub(super) rest_pitch_deg: f64,
    pub(super) roll_at_20_deg: f64,
    pub(super) pitch_at_20_deg: f64,
}

/// How a jack lifts; the defaults are those of the reference cases.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, default)]
#[expect(
    clippy::struct_field_names,
    reason = "the names are the keys of the file"
)]
pub(super) struct JackFile {
    pub(super) roll_deg: f64,
    pub(super) pitch_deg: f64,
    pub(super) droop_deg: f64,
    pub(super) right_more_deg: f64,
}

impl Default for JackFile {
    fn default() -> Self {
        Self {
            roll_deg: 1.2,
            pitch_deg: -0.32,
            droop_deg: 3.0,
            right_more_deg: 0.0,
        }
    }
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct IdleFile {
    pub(super) frequency_hz: Option<f64>,
    pub(super) amplitude_mg: Option<f64>,
    pub(super) rock_dps: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BoardFile {
    pub(super) mount: Mount,
    pub(super) mounting: MountingFile,
    #[serde(default)]
    pub(super) lever_mm: [f64; 3],
    pub(super) rate_hz: f64,
    pub(super) wire: WireFormat,
    #[serde(default)]
    pub(super) link: LinkSpec,
    pub(super) chip: ChipFile,
    #[serde(default)]
    pub(super) clock: ClockFile,
    #[serde(default)]
    pub(super) temperature: TemperatureFile,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct MountingFile {
    pub(super) x: Option<Facing>,
    pub(super) y: Option<Facing>,
    pub(super) z: Option<Facing>,
    pub(super) misaligned_deg: [f64; 3],
    pub(super) quaternion_wxyz: Option<[f64; 4]>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ChipFile {
    pub(super) preset: Preset,
    pub(super) accel_noise_ug_per_rthz: Option<f64>,
    pub(super) accel_bias_sigma_mg: Option<f64>,
    pub(super) accel_walk_ug_per_rts: Option<f64>,
    pub(super) accel_scale_ppm: Option<f64>,
    pub(super) accel_cross_axis_mrad: Option<f64>,
    pub(super) accel_drift_mg_per_c: Option<f64>,
    pub(super) accel_range_g: Option<f64>,
    pub(super) accel_lsb_mg: Option<f64>,
    pub(super) accel_bias_mg: Option<[f64; 3]>,
    pub(super) gyro_noise_dps_per_rthz: Option<f64>,
    pub(super) gyro_bias_sigma_dps: Option<f64>,
    pub(super) gyro_walk_dps_per_rts: Option<f64>,
    pub(super) gyro_scale_ppm: Option<f64>,
    pub(super) gyro_cross_axis_mrad: Option<f64>,
    pub(super) gyro_drift_dps_per_c: Option<f64>,
    pub(super) gyro_range_dps: Option<f64>,
    pub(super) gyro_lsb_mdps: Option<f64>,
    pub(super) gyro_flicker_dps: Option<f64>,
    pub(super) gyro_per_g_dps: Option<f64>,
    pub(super) gyro_bias_dps: Option<[f64; 3]>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct ClockFile {
    pub(super) offset_s: f64,
    pub(super) rate_ppm: f64,
    pub(super) jitter_us: f64,
    pub(super) stamp_error_us: f64,
    pub(super) wraps: bool,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct TemperatureFile {
    pub(super) start_c: Option<f64>,
    pub(super) rise_c: Option<f64>,
    pub(super) settle_s: Option<f64>,
}

/// One step. Exactly one of its verbs is there; which other keys go with it is checked later.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct StepFile {
    // Verbs.
    pub(super) rest_s: Option<f64>,
    pub(super) steer_to_deg: Option<f64>,
    pub(super) sweep_deg: Option<f64>,
    pub(super) spin_deg: Option<f64>,
    pub(super) roll_mm: Option<f64>,
    pub(super) jack_up: Option<Wheel>,
    pub(super) jack_down: Option<Wheel>,
    pub(super) knock: Option<Wheel>,
    pub(super) tap: Option<Mount>,
    pub(super) slam_g: Option<f64>,
    pub(super) idle: Option<bool>,
    pub(super) brake: Option<BrakeFile>,
    pub(super) brake_slip_deg: Option<f64>,
    pub(super) board_slip: Option<Mount>,
    pub(super) turn_board: Option<Mount>,
    pub(super) lay_board: Option<Mount>,
    pub(super) strap_board: Option<Mount>,
    pub(super) adjust: Option<String>,
    pub(super) mend: Option<Wheel>,
    pub(super) bounce_s: Option<f64>,
    pub(super) set_height_mm: Option<f64>,
    pub(super) rock: Option<Wheel>,
    pub(super) lock_to_lock_s: Option<f64>,
    pub(super) hold_bar: Option<Mount>,
    pub(super) move_board: Option<Mount>,
    pub(super) carry_block: Option<Mount>,
    // What goes with them.
    pub(super) label: Option<String>,
    pub(super) over_s: Option<f64>,
    pub(super) times: Option<u32>,
    pub(super) wheel: Option<Wheel>,
    pub(super) peak_g: Option<f64>,
    pub(super) slip_deg: Option<f64>,
    pub(super) by_deg: Option<[f64; 3]>,
    pub(super) up: Option<[f64; 3]>,
    pub(super) by: Option<f64>,
    pub(super) clock_deg: Option<f64>,
    pub(super) wheels: Option<Vec<Wheel>>,
    pub(super) about: Option<Rocked>,
    pub(super) hold_s: Option<f64>,
    pub(super) reversed: Option<bool>,
    pub(super) to_edge: Option<bool>,
    pub(super) lean_deg: Option<f64>,
    pub(super) bump_g: Option<f64>,
}
