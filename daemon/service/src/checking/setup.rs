//! From what a client wishes to what the core starts with.

use std::sync::Arc;

use hubplumb_core::angle::Angle;
use hubplumb_core::carried::{CarriedSetup, Place};
use hubplumb_core::check::evidence::TurnedBy;
use hubplumb_core::check::{
    BarSetup, BarTurn, CarrySetup, CentringSetup, CheckSetup, Figure, Grip, HeightsSetup, HubSetup,
    PlaySetup, SeatBy, SeatedWheel, TurnsSetup,
};
use hubplumb_core::estimate::Estimate;
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::side::Side;
use hubplumb_core::swing::SwingWheel;

use super::{CheckBoards, CheckError};
use crate::board::Board;
use crate::http::views::{AxleName, BarTurnName, CheckFigure, CheckStart, GripName, SteerByName};
use crate::levelling::LevelSnapshot;
use crate::mount::Mount;
use crate::present::mount_of;

const HOLD_S: f64 = 4.0;
/// Nobody holds a steering lock for longer than needed.
const STEER_HOLD_S: f64 = 2.0;
const ROCK_S: f64 = 10.0;
/// One sigma of a plate read to half a degree.
const PLATE_DEG: f64 = 0.25;
/// One sigma of a steering wheel read by a mark on its rim (common practice, no source).
const STEERING_WHEEL_DEG: f64 = 2.0;
/// One sigma of toe by string or tape, degrees (common practice, no source).
const TOE_DEG: f64 = 0.05;
/// One sigma of a height by a rule, mm (common practice, no source).
const HEIGHT_MM: f64 = 1.0;

/// A check that can be started: of which wheel, and whose readings it listens to.
pub(super) struct Made {
    pub(super) setup: CheckSetup,
    pub(super) mount: Option<Mount>,
    pub(super) boards: Vec<(Arc<Board>, Side)>,
    pub(super) may_step: bool,
}

fn us(given_s: Option<f64>, usual_s: f64) -> i64 {
    let us = given_s.unwrap_or(usual_s) * 1e6;
    // A time that is no number is no time; the core refuses both.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a cast that saturates gives a time that is refused"
    )]
    let whole = us as i64;
    whole
}

fn wheel_of(mount: Mount) -> Result<Side, CheckError> {
    mount.side().ok_or(CheckError::NotAWheel)
}

fn live(board: Arc<Board>) -> Result<Arc<Board>, CheckError> {
    if board.is_live() {
        Ok(board)
    } else {
        Err(CheckError::NotLive(board.facts().id.clone()))
    }
}

impl CheckBoards {
    fn on(&self, mount: Mount) -> Result<Arc<Board>, CheckError> {
        let on = |board: &&Arc<Board>| board.facts().mount == Some(mount);
        let board = self.boards.borrow().iter().find(on).cloned();
        live(board.ok_or(CheckError::NoBoard(mount))?)
    }

    fn seated(
        &self,
        mount: Mount,
        level: &LevelSnapshot,
    ) -> Result<(Arc<Board>, SeatedWheel), CheckError> {
        wheel_of(mount)?;
        let board = self.on(mount)?;
        let wheel = board.wheel().ok_or(CheckError::NotSeated(mount))?;
        let seat_by = if level.result(mount).is_some() {
            SeatBy::RunOut
        } else {
            SeatBy::Declared
        };
        Ok((board, SeatedWheel { wheel, seat_by }))
    }

    /// The steered wheels whose boards give readings.
    fn axle(&self, level: &LevelSnapshot) -> Vec<(Arc<Board>, SwingWheel)> {
        [Mount::FrontLeft, Mount::FrontRight]
            .into_iter()
            .filter_map(|mount| {
                let (board, seated) = self.seated(mount, level).ok()?;
                let wheel = SwingWheel {
                    wheel: seated.wheel,
                    run_out: Vec::new(),
                    toe: level.toe_of(seated.wheel.side).estimate,
                };
                Some((board, wheel))
            })
            .collect()
    }

    pub(super) fn make(&self, start: &CheckStart) -> Result<Made, CheckError> {
        let level = self.level.borrow().clone();
        match start {
            CheckStart::CamberOnHub {
                mount,
                hold_s,
                stops,
            } => self.on_wheel(mount_of(*mount), &level, |seated| {
                CheckSetup::CamberOnHub(HubSetup {
                    seated,
                    hold_us: us(*hold_s, HOLD_S),
                    stops: stops.unwrap_or(1),
                })
            }),
            CheckStart::CamberOnBar { .. } => self.on_bar(start, &level),
            CheckStart::Play {
                mount,
                grip,
                rock_s,
            } => self.on_wheel(mount_of(*mount), &level, |seated| {
                CheckSetup::Play(PlaySetup {
                    wheel: seated.wheel,
                    grip: match grip {
                        GripName::TopBottom => Grip::TopBottom,
                        GripName::FrontRear => Grip::FrontRear,
                    },
                    rock_us: us(*rock_s, ROCK_S),
                })
            }),
            CheckStart::Centring {
                by,
                hold_s,
                rounds,
                typed_standard_deg,
            } => Ok(self.steered(*by, &level, |by, wheels| {
                let usual = match by {
                    TurnedBy::SteeringWheel => STEERING_WHEEL_DEG,
                    _ => PLATE_DEG,
                };
                CheckSetup::Centring(CentringSetup {
                    by,
                    wheels,
                    hold_us: us(*hold_s, STEER_HOLD_S),
                    rounds: rounds.unwrap_or(1),
                    typed_standard: Angle::from_deg(typed_standard_deg.unwrap_or(usual)),
                })
            })),
            CheckStart::ToeOutOnTurns {
                by,
                hold_s,
                typed_standard_deg,
            } => Ok(self.steered(*by, &level, |by, wheels| {
                CheckSetup::TurnOut(TurnsSetup {
                    by,
                    wheels,
                    hold_us: us(*hold_s, STEER_HOLD_S),
                    typed_standard: Angle::from_deg(typed_standard_deg.unwrap_or(PLATE_DEG)),
                })
            })),
            CheckStart::CarriedToe { .. } => self.carried(start, &level),
            CheckStart::HeightSweep {
                mount,
                hold_s,
                ride_height_mm,
                step_mm,
                height_standard_mm,
            } => {
                let made = self.on_wheel(mount_of(*mount), &level, |seated| {
                    CheckSetup::Heights(HeightsSetup {
                        seated,
                        hold_us: us(*hold_s, HOLD_S),
                        ride_height_mm: *ride_height_mm,
                        step_mm: *step_mm,
                        height_standard_mm: height_standard_mm.unwrap_or(HEIGHT_MM),
                    })
                })?;
                Ok(Made {
                    may_step: step_mm.is_some(),
                    ..made
                })
            }
        }
    }

    fn carried(&self, start: &CheckStart, level: &LevelSnapshot) -> Result<Made, CheckError> {
        let CheckStart::CarriedToe {
            axle,
            board,
            to_left,
            wanted_deg,
            with_edge,
            hold_s,
            seat_standard_deg,
            faces_standard_deg,
        } = start
        else {
            return Err(CheckError::NotAWheel);
        };
        let board = match board {
            None => self.on(Mount::Body)?,
            Some(id) => self.named(id)?,
        };
        let left = BoardAxis::from(*to_left).dir();
        let usual = CarriedSetup::usual(board.chip(), left, level.floor.slope);
        let sigma = |given: &Option<f64>, usual: Angle| given.map_or(usual, Angle::from_deg);
        Ok(Made {
            setup: CheckSetup::CarriedToe(CarrySetup {
                toe: CarriedSetup {
                    start: match axle {
                        AxleName::Front => Place::FrontLeft,
                        AxleName::Rear => Place::RearLeft,
                    },
                    wanted: sigma(wanted_deg, usual.wanted),
                    hold_us: us(*hold_s, STEER_HOLD_S),
                    seat: sigma(seat_standard_deg, usual.seat),
                    faces: Estimate::new(
                        usual.faces.value,
                        sigma(faces_standard_deg, usual.faces.standard),
                    ),
                    ..usual
                },
                with_edge: *with_edge,
            }),
            mount: None,
            boards: vec![(board, Side::Left)],
            may_step: false,
        })
    }

    fn named(&self, id: &str) -> Result<Arc<Board>, CheckError> {
        let named = |board: &&Arc<Board>| board.facts().id == id;
        let board = self.boards.borrow().iter().find(named).cloned();
        live(board.ok_or_else(|| CheckError::NoSuchBoard(id.to_owned()))?)
    }

    fn on_wheel(
        &self,
        mount: Mount,
        level: &LevelSnapshot,
        setup: impl FnOnce(SeatedWheel) -> CheckSetup,
    ) -> Result<Made, CheckError> {
        let (board, seated) = self.seated(mount, level)?;
        Ok(Made {
            setup: setup(seated),
            mount: Some(mount),
            boards: vec![(board, seated.wheel.side)],
            may_step: false,
        })
    }

    fn steered(
        &self,
        by: SteerByName,
        level: &LevelSnapshot,
        setup: impl FnOnce(TurnedBy, Vec<SwingWheel>) -> CheckSetup,
    ) -> Made {
        let (by, axle) = match by {
            SteerByName::Gyro => (TurnedBy::Gyro, self.axle(level)),
            SteerByName::Plates => (TurnedBy::Plates, Vec::new()),
            SteerByName::SteeringWheel => (TurnedBy::SteeringWheel, Vec::new()),
        };
        let wheels = axle.iter().map(|(_, wheel)| wheel.clone()).collect();
        let boards = axle
            .into_iter()
            .map(|(board, wheel)| (board, wheel.wheel.side))
            .collect();
        Made {
            setup: setup(by, wheels),
            mount: None,
            boards,
            may_step: false,
        }
    }

    fn on_bar(&self, start: &CheckStart, level: &LevelSnapshot) -> Result<Made, CheckError> {
        let CheckStart::CamberOnBar {
            mount,
            board,
            outboard,
            hold_s,
            pairs,
            turn,
            seat_standard_deg,
            faces_standard_deg,
            reseat_standard_deg,
            rim_standard_deg,
        } = start
        else {
            return Err(CheckError::NotAWheel);
        };
        let mount = mount_of(*mount);
        let side = wheel_of(mount)?;
        let board = match board {
            None => self.on(mount)?,
            Some(id) => self.named(id)?,
        };
        let mounted = || board.mounted_axes().map(|(outboard, _)| outboard);
        let outboard = outboard
            .map(BoardAxis::from)
            .or_else(mounted)
            .ok_or_else(|| CheckError::NoOutboard(board.facts().id.clone()))?;
        let [seat, faces, reseat, rim] = BarSetup::USUAL;
        let sigma = |given: &Option<f64>, usual: Angle| given.map_or(usual, Angle::from_deg);
        Ok(Made {
            setup: CheckSetup::CamberOnBar(BarSetup {
                side,
                chip: board.chip(),
                outboard,
                floor: level.floor.slope,
                hold_us: us(*hold_s, HOLD_S),
                pairs: pairs.unwrap_or(1),
                turn: match turn {
                    BarTurnName::OtherFace => Some(BarTurn::OtherFace),
                    BarTurnName::OtherEnd => Some(BarTurn::OtherEnd),
                    BarTurnName::Both => Some(BarTurn::Both),
                    BarTurnName::Any => None,
                },
                seat: sigma(seat_standard_deg, seat),
                faces: sigma(faces_standard_deg, faces),
                reseat: sigma(reseat_standard_deg, reseat),
                rim: sigma(rim_standard_deg, rim),
            }),
            mount: Some(mount),
            boards: vec![(board, side)],
            may_step: false,
        })
    }
}

/// What was typed, for the core.
pub(super) fn figure(typed: &CheckFigure) -> Result<Figure, CheckError> {
    Ok(match typed {
        CheckFigure::Plate { mount, plate_deg } => {
            let mount = mount_of(*mount);
            let side = wheel_of(mount)?;
            if !mount.is_steered() {
                return Err(CheckError::NotSteered(mount));
            }
            Figure::Plate {
                side,
                plate: Angle::from_deg(*plate_deg),
            }
        }
        CheckFigure::EdgeNext => Figure::EdgeNext,
        CheckFigure::SteeringWheel { steering_wheel_deg } => {
            Figure::SteeringWheel(Angle::from_deg(*steering_wheel_deg))
        }
        CheckFigure::Height {
            height_mm,
            toe_deg,
            toe_standard_deg,
        } => Figure::Height {
            height_mm: *height_mm,
            toe: toe_deg
                .map(|toe_deg| Estimate::from_deg(toe_deg, toe_standard_deg.unwrap_or(TOE_DEG))),
        },
    })
}
