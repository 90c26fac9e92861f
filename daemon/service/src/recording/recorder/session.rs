//! The session file of a recorded swing.

use hubplumb_core::angle::Angle;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::frames::{Board, Dir};
use hubplumb_core::session::MeasuredBefore;
use hubplumb_core::swing::{SENSE_ONLY, SteerSource, SwingBody, SwingWheel};
use time::OffsetDateTime;
use time::macros::format_description;

use super::folder::table_name;
use super::{RecordedBoard, SwingRecord, role_of_side};
use crate::figures::Figures;
use crate::present;
use crate::recording::before::BeforeEntry;
use crate::recording::chip_name::ChipName;
use crate::recording::session_file::{
    AngleEntry, BoardEntry, BodyEntry, CalibrationEntry, ChipEntry, ChipFiguresEntry, ClockEntry,
    DirectionEntry, FaceEntry, FloorEntry, FoundEntry, MountEntry, RoleEntry, SessionFile,
    SteerEntry, ToeEntry,
};

/// The session file of a swing as it stands.
pub(super) fn session_file(
    record: &SwingRecord,
    began: OffsetDateTime,
    watches_body: bool,
    lost_readings: u64,
) -> SessionFile {
    let (setup, boards) = (&record.setup, &record.boards);
    let mut entries: Vec<BoardEntry> = setup
        .wheels
        .iter()
        .map(|wheel| wheel_board(wheel, boards))
        .collect();
    let body = boards.iter().find(|board| board.role == RoleEntry::Body);
    entries.extend(body.filter(|_| watches_body).map(|board| {
        BoardEntry {
            role: RoleEntry::Body,
            file: Some(table_name(RoleEntry::Body).to_owned()),
            clock: ClockEntry::Shared,
            chip: Some(chip(
                &setup
                    .body_board
                    .as_ref()
                    .map_or(board.chip, |body| body.chip),
            )),
            calibration: calibration(&board.calibration),
            mount: body_mount(setup.body_board.as_ref()),
            before: BeforeEntry::of(&MeasuredBefore {
                run_out: Vec::new(),
                jacked: setup.body_board.as_ref().and_then(|body| body.jacked),
            }),
        }
    }));
    let floor = setup.wheels.first().map(|wheel| wheel.wheel.floor);
    let toe = |role: RoleEntry| {
        setup
            .wheels
            .iter()
            .find(|wheel| role_of_side(wheel.wheel.side) == role)
            .map(|wheel| AngleEntry {
                value_deg: wheel.toe.value.deg(),
                standard_deg: wheel.toe.standard.deg(),
            })
    };
    SessionFile {
        written_by: Some(format!("hubplumb {}", env!("CARGO_PKG_VERSION"))),
        recorded_at: began
            .format(format_description!(
                "[year]-[month]-[day]T[hour]:[minute]:[second]Z"
            ))
            .ok(),
        boards: entries,
        floor: floor.map(|floor| FloorEntry {
            roll_deg: floor.roll.value.deg(),
            pitch_deg: floor.pitch.value.deg(),
            standard_deg: floor.roll.standard.deg().max(floor.pitch.standard.deg()),
        }),
        toe: Some(ToeEntry {
            left: toe(RoleEntry::Left),
            right: toe(RoleEntry::Right),
        }),
        steer: match setup.steer_source {
            SteerSource::Gyro => SteerEntry::Gyro,
            SteerSource::Plates => SteerEntry::Plates,
        },
        plate_standard_deg: Some(setup.plate_standard.deg()),
        unwatched_body: Some(BodyEntry {
            roll_standard_deg: setup.body.roll.deg(),
            pitch_standard_deg: setup.body.pitch.deg(),
        }),
        jacking_pitch_standard_deg: None,
        windows: record.windows.iter().map(present::window_entry).collect(),
        found: record.stage.over.then(|| FoundEntry {
            refusal: record
                .refusal
                .as_ref()
                .map(|refusal| present::refusal_trouble(refusal).into()),
            wheels: record
                .outcome
                .iter()
                .filter_map(present::wheel_solution)
                .collect(),
            differences: record.differences.iter().map(present::difference).collect(),
        }),
        lost_readings,
    }
}

fn wheel_board(wheel: &SwingWheel, boards: &[RecordedBoard]) -> BoardEntry {
    let side = wheel.wheel.side;
    let role = role_of_side(side);
    let trust = wheel.wheel.mounting.trust();
    let turned = !wheel.run_out.is_empty();
    let told = |declared: Angle| if turned { SENSE_ONLY } else { declared }.deg();
    let spindle: Dir<Board> = wheel.wheel.mounting.spindle(side);
    let board = boards.iter().find(|board| board.role == role);
    BoardEntry {
        role,
        file: Some(table_name(role).to_owned()),
        clock: ClockEntry::Shared,
        // As the swing took them, so no day and no temperature of a calibration is told to grow them by.
        chip: Some(chip(&wheel.wheel.chip)),
        calibration: board.and_then(|board| calibration(&board.calibration)),
        mount: MountEntry::Face(FaceEntry {
            outboard: Some(DirectionEntry::Vector(spindle.vec().to_array())),
            forward: None,
            heading_standard_deg: told(trust.heading),
            lean_standard_deg: told(trust.camber),
        }),
        before: BeforeEntry::of(&MeasuredBefore {
            run_out: wheel.run_out.clone(),
            jacked: None,
        }),
    }
}

fn body_mount(body: Option<&SwingBody>) -> MountEntry {
    let declared = body.and_then(|body| body.forward);
    declared.map_or(MountEntry::Unknown, |(forward, heading)| {
        MountEntry::Face(FaceEntry {
            outboard: None,
            forward: Some(DirectionEntry::Vector(forward.vec().to_array())),
            heading_standard_deg: heading.deg(),
            lean_standard_deg: 0.0,
        })
    })
}

fn chip(figures: &hubplumb_core::chip::ChipFigures) -> ChipEntry {
    // A range without end is not written; the class without error has none either.
    ChipEntry::Figures(Box::new(ChipFiguresEntry {
        class: ChipName::IDEAL,
        figures: Figures::of(figures),
    }))
}

fn calibration(calibration: &Calibration) -> Option<CalibrationEntry> {
    calibration.is_done().then(|| CalibrationEntry {
        accel_offset_g: Some(calibration.accel_offset_g()),
        accel_matrix: Some(calibration.accel_matrix()),
        gyro_offset_dps: Some(calibration.gyro_offset_radps().map(f64::to_degrees)),
        gyro_matrix: Some(calibration.gyro_matrix()),
        ..CalibrationEntry::default()
    })
}
