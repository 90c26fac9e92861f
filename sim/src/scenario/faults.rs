//! Faults as a scenario file writes them: one by one, or drawn.

use serde::Deserialize;

use super::build::within;
use super::error::ScenarioError;
use super::file::ScenarioFile;
use crate::board::BoardSpec;
use crate::car::Mount;
use crate::fault::{Fault, FaultDraw, FaultKind, FaultName, FaultPlan};

/// One fault. Which of its figures belong to its kind is checked later.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FaultFile {
    mount: Mount,
    kind: FaultName,
    from_s: f64,
    to_s: Option<f64>,
    share_percent: Option<f64>,
    by_s: Option<f64>,
    ppm: Option<f64>,
    axis: Option<usize>,
    other: Option<Mount>,
}

/// Faults by chance.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DrawFile {
    seed: Option<u64>,
    #[serde(default)]
    kinds: Vec<FaultName>,
    #[serde(default = "first_s")]
    from_s: f64,
    to_s: f64,
    #[serde(default = "every_s")]
    every_s: f64,
    #[serde(default = "lasts_s")]
    lasts_s: [f64; 2],
}

fn first_s() -> f64 {
    5.0
}

fn every_s() -> f64 {
    10.0
}

fn lasts_s() -> [f64; 2] {
    [0.2, 6.0]
}

/// A day: what a run may last at most.
const DAY_S: f64 = 86_400.0;

pub(super) fn plan(file: &ScenarioFile, boards: &[BoardSpec]) -> Result<FaultPlan, ScenarioError> {
    let written: Result<Vec<Fault>, _> =
        file.fault.iter().map(|fault| one(fault, boards)).collect();
    let drawn = match &file.faults {
        Some(draw) => drawn(draw, file.seed, boards)?,
        None => FaultPlan::default(),
    };
    Ok(FaultPlan::new(written?).and(drawn))
}

fn one(file: &FaultFile, boards: &[BoardSpec]) -> Result<Fault, ScenarioError> {
    let key = |name: &str| format!("fault {} {}: {name}", file.mount, file.kind);
    let has = |mount| boards.iter().any(|board| board.mount == mount);
    if !has(file.mount) {
        return Err(ScenarioError::value(
            key("mount"),
            "no board is there",
            "name the mount of a [[board]]",
        ));
    }
    let from_s = within(&key("from_s"), file.from_s, 0.0..=DAY_S)?;
    let to_s = match file.to_s {
        Some(to_s) => within(&key("to_s"), to_s, from_s..=DAY_S)?,
        None if file.kind == FaultName::ClockJump => from_s,
        None => f64::INFINITY,
    };
    let needed = |name: &'static str, value: Option<f64>| {
        value.ok_or_else(|| {
            ScenarioError::value(
                key(name),
                "it is missing",
                "say how much; docs/SIMULATOR.md",
            )
        })
    };
    let share = || {
        let percent = needed("share_percent", file.share_percent)?;
        Ok::<_, ScenarioError>(within(&key("share_percent"), percent, 0.0..=100.0)? * 1e-2)
    };
    let other = || {
        let other = file
            .other
            .filter(|other| has(*other) && *other != file.mount);
        other.ok_or_else(|| {
            ScenarioError::value(
                key("other"),
                "it names no other board",
                "name the mount of another [[board]]",
            )
        })
    };
    let by_s = |range| within(&key("by_s"), needed("by_s", file.by_s)?, range);
    let kind = match file.kind {
        FaultName::Drop => FaultKind::Drop { share: share()? },
        FaultName::Duplicate => FaultKind::Duplicate { share: share()? },
        FaultName::Corrupt => FaultKind::Corrupt { share: share()? },
        FaultName::Truncate => FaultKind::Truncate { share: share()? },
        FaultName::Delay => FaultKind::Delay {
            by_s: by_s(0.0..=60.0)?,
        },
        FaultName::ClockJump => FaultKind::ClockJump {
            by_s: by_s(-1e6..=1e6)?,
        },
        FaultName::ClockDrift => FaultKind::ClockDrift {
            ppm: within(&key("ppm"), needed("ppm", file.ppm)?, -1e5..=1e5)?,
        },
        FaultName::StuckAxis => FaultKind::StuckAxis {
            axis: file.axis.filter(|axis| *axis < 6).ok_or_else(|| {
                ScenarioError::value(
                    key("axis"),
                    "it names no axis",
                    "0 to 2 for the accelerometer, 3 to 5 for the gyro",
                )
            })?,
        },
        FaultName::Stall => FaultKind::Stall,
        FaultName::Mute => FaultKind::Mute,
        FaultName::Unplug => FaultKind::Unplug,
        FaultName::Reset => FaultKind::Reset,
        FaultName::Saturation => FaultKind::Saturation,
        FaultName::Swapped => FaultKind::Swapped { with: other()? },
        FaultName::Twin => FaultKind::Twin { of: other()? },
    };
    Ok(Fault {
        mount: file.mount,
        kind,
        from_s,
        to_s,
    })
}

fn drawn(file: &DrawFile, seed: u64, boards: &[BoardSpec]) -> Result<FaultPlan, ScenarioError> {
    let [shortest, longest] = file.lasts_s;
    let draw = FaultDraw {
        mounts: boards.iter().map(|board| board.mount).collect(),
        kinds: if file.kinds.is_empty() {
            FaultName::ALL.to_vec()
        } else {
            file.kinds.clone()
        },
        from_s: within("faults.from_s", file.from_s, 0.0..=DAY_S)?,
        to_s: within("faults.to_s", file.to_s, file.from_s..=DAY_S)?,
        every_s: within("faults.every_s", file.every_s, 0.1..=DAY_S)?,
        lasts_s: [
            within("faults.lasts_s", shortest, 0.01..=DAY_S)?,
            within("faults.lasts_s", longest, shortest..=DAY_S)?,
        ],
    };
    Ok(FaultPlan::drawn(file.seed.unwrap_or(seed), &draw))
}
