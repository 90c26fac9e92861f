//! From windows to evidence.

use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::frames::{Board, Dir, Vec3};
use crate::joint::evidence::{
    BodyEvidence, DeclaredSpindle, Jackings, RestEvidence, RunOutEvidence, SwingEvidence,
    TurnEvidence, WheelEvidence,
};
use crate::joint::point::{by_pitch, run_out_normal};
use crate::levelling::{LEAST_ARC, arc_round, mean_rest};
use crate::mounting::Mounting;
use crate::rest::RestMeasure;
use crate::session::seen::{Seen, SteerSoFar, levelled, moments};
use crate::session::{
    Role, Session, SessionBoard, SessionError, SessionOutcome, Used, Window, WindowKind, align,
    measure, segment,
};
use crate::side::Side;
use crate::swing::outcome::{Candidate, Mark, outcome};
use crate::time::HostTime;
use crate::turn;

/// Trimmed from both ends of a rest: nobody starts and stops on the tick.
pub(super) const TRIM_US: i64 = 100_000;
/// Trimmed besides, where the clock was found and not shared.
const CLOCK_TRIM_US: i64 = 60_000;
/// What the rate's curve within a moment leaves unexplained, g.
const MOMENT_BLUR_G: f64 = 1e-4;
/// Fewest readings of a recording worth solving.
const LEAST_READINGS: usize = 100;

/// A board with its readings on the windows' clock.
struct Aligned<'a> {
    board: &'a SessionBoard,
    offset_us: i64,
    trim_us: i64,
}

pub(super) fn solve(session: &Session) -> Result<SessionOutcome, SessionError> {
    check(session)?;
    let mut session = session.clone();
    if session.windows.is_empty() {
        session.windows = segment::windows(&session);
        // Windows that were found go by the clock of the first hub.
        if let Some(first) = session.boards.iter_mut().find(|b| b.role != Role::Body) {
            first.shares_clock = true;
        }
    }
    let aligned: Vec<Aligned> = session
        .boards
        .iter()
        .map(|board| {
            let offset_us = align::offset_us(&session, board)?;
            let trim_us = TRIM_US + if board.shares_clock { 0 } else { CLOCK_TRIM_US };
            Ok(Aligned {
                board,
                offset_us,
                trim_us,
            })
        })
        .collect::<Result<_, SessionError>>()?;
    session.windows = session.windows.iter().flat_map(moments).collect();
    let rests: Vec<&Window> = session
        .windows
        .iter()
        .filter(|w| {
            matches!(
                w.kind,
                WindowKind::Straight | WindowKind::Stop | WindowKind::Sweep
            )
        })
        .collect();
    if rests.first().is_none_or(|w| w.kind != WindowKind::Straight) {
        return Err(SessionError::NoStraight);
    }
    let mut candidates = Vec::new();
    let mut body = None;
    let mut used = Vec::new();
    for board in &aligned {
        match board.board.role {
            Role::Hub(side) => {
                let (candidate, seconds) = board.wheel(&session, &rests, side)?;
                used.push(board.used(&candidate.evidence, seconds));
                candidates.push(candidate);
            }
            Role::Body => {
                let evidence = board.body(&session, &rests);
                used.push(Used {
                    role: Role::Body,
                    rests: evidence.as_ref().map_or(0, |b| b.rests.len()),
                    turns: 0,
                    run_out: 0,
                    rest_seconds: 0.0,
                    clock_offset_us: board.offset_us,
                });
                body = evidence;
            }
        }
    }
    let evidence = SwingEvidence {
        floor: session.floor,
        wheels: Vec::new(),
        body,
        unwatched: session.unwatched,
        rests: rests.len(),
    };
    let (wheels, differences) = outcome(&candidates, &evidence);
    Ok(SessionOutcome {
        wheels,
        differences,
        used,
        windows: session.windows,
    })
}

fn check(session: &Session) -> Result<(), SessionError> {
    let on = |side: Side| {
        session
            .boards
            .iter()
            .filter(|b| b.role == Role::Hub(side))
            .count()
    };
    for side in Side::BOTH {
        let found = on(side);
        if found > 1 || (found == 0 && on(Side::Left) + on(Side::Right) == 0) {
            return Err(SessionError::Boards { side, found });
        }
    }
    for board in &session.boards {
        let (role, found) = (board.role, board.samples.len());
        if found < LEAST_READINGS {
            return Err(SessionError::Empty { role, found });
        }
        if let Some(pair) = board
            .samples
            .windows(2)
            .find(|pair| pair[1].at < pair[0].at)
        {
            let (before_us, after_us) = (pair[0].at.us(), pair[1].at.us());
            return Err(SessionError::TimeBackwards {
                role,
                before_us,
                after_us,
            });
        }
    }
    Ok(())
}

impl Aligned<'_> {
    fn own(&self, at: HostTime, trim_us: i64) -> HostTime {
        HostTime::from_us(at.us() + self.offset_us + trim_us)
    }

    fn rest(&self, window: &Window) -> Option<RestMeasure> {
        let (from, to) = (
            self.own(window.from, self.trim_us),
            self.own(window.to, -self.trim_us),
        );
        measure::rest(
            measure::between(&self.board.samples, from, to),
            &self.board.chip,
        )
    }

    fn used(&self, evidence: &WheelEvidence, rest_seconds: f64) -> Used {
        Used {
            role: self.board.role,
            rests: evidence.rests.len(),
            turns: evidence.turns.len(),
            run_out: evidence.run_out.iter().map(Vec::len).sum(),
            rest_seconds,
            clock_offset_us: self.offset_us,
        }
    }

    /// What the board saw of each window: rests, and moments of sweeps.
    fn all_seen(&self, windows: &[&Window]) -> Vec<(usize, Seen)> {
        let chip = &self.board.chip;
        let rests: Vec<(usize, RestMeasure)> = windows
            .iter()
            .enumerate()
            .filter(|(_, w)| w.kind.is_rest())
            .filter_map(|(number, window)| Some((number, self.rest(window)?)))
            .collect();
        let mut all: Vec<(usize, Seen)> = rests
            .iter()
            .map(|(number, rest)| (*number, Seen::rest(rest, chip)))
            .collect();
        // In a sweep the offset goes from that of the rest before to that of the rest after.
        let moments = windows
            .iter()
            .enumerate()
            .filter(|(_, w)| w.kind == WindowKind::Sweep);
        all.extend(moments.filter_map(|(number, window)| {
            let before = rests.iter().rev().find(|(rest, _)| *rest < number);
            let after = rests.iter().find(|(rest, _)| *rest > number);
            let (before, after) = (&before.or(after)?.1, &after.or(before)?.1);
            Some((number, self.moment(window, before, after)?))
        }));
        all.sort_by_key(|(number, _)| *number);
        all
    }

    fn moment(&self, window: &Window, before: &RestMeasure, after: &RestMeasure) -> Option<Seen> {
        let chip = &self.board.chip;
        let (from, to) = (self.own(window.from, 0), self.own(window.to, 0));
        let samples = measure::between(&self.board.samples, from, to);
        let middle = HostTime::from_us(i64::midpoint(
            samples.first()?.at.us(),
            samples.last()?.at.us(),
        ));
        let length_s = after.from.since_s(before.to);
        let share = if length_s > 0.0 {
            (middle.since_s(before.to) / length_s).clamp(0.0, 1.0)
        } else {
            0.5
        };
        let offset = before.rate_radps? * (1.0 - share) + after.rate_radps? * share;
        let (accel_g, per_metre_g) = measure::moment(samples, offset)?;
        let noise_g =
            (chip.accel_noise_g_rthz / (2.0 * to.since_s(from)).sqrt()).hypot(MOMENT_BLUR_G);
        let still_s = before.seconds() + after.seconds();
        Some(Seen {
            from: middle,
            to: middle,
            accel_g,
            noise_g,
            degrees_of_freedom: f64::INFINITY,
            offset: Some(offset),
            offset_noise_radps: turn::offset_noise_radps(still_s, chip),
            per_metre_g: Some(per_metre_g),
        })
    }

    fn turn(&self, before: &Seen, after: &Seen) -> Option<(Vec3<Board>, Angle)> {
        let offset = (before.offset? + after.offset?) * 0.5;
        let rotation = measure::rotation(&self.board.samples, before.to, after.from, offset)?;
        let uncertain = 0.5 * before.offset_noise_radps.hypot(after.offset_noise_radps);
        let seconds = after.from.since_s(before.to).max(0.0);
        Some((
            rotation,
            turn::noise_over(seconds, uncertain, &self.board.chip),
        ))
    }

    fn wheel(
        &self,
        session: &Session,
        windows: &[&Window],
        side: Side,
    ) -> Result<(Candidate, f64), SessionError> {
        let chip = self.board.chip;
        let mut rests = Vec::new();
        let mut turns = Vec::new();
        let mut marks: Vec<Mark> = Vec::new();
        let mut seconds = 0.0;
        let mut before: Option<Seen> = None;
        let run_out = self.run_out(session, side)?;
        let spindle = self.spindle(&run_out, side)?;
        let mut mounting: Option<Mounting> = None;
        let mut heading = SteerSoFar::default();
        let mut first_up = None;
        for (number, seen) in self.all_seen(windows) {
            let window = windows[number];
            // All angles count from the first rest: a stop that stands in for a straight-ahead
            // rest without readings would be taken for straight ahead.
            if rests.is_empty() && window.kind != WindowKind::Straight {
                return Err(SessionError::NoStraight);
            }
            let up = Dir::along(seen.accel_g).ok_or(SessionError::NoStraight)?;
            if mounting.is_none() {
                mounting = Some(levelled(side, spindle, up)?);
            }
            let place = rests.len();
            let index = usize::from(side == Side::Right);
            let plate = window.plates[index]
                .filter(|_| place > 0)
                .map(|read| Estimate::new(read, session.plate_standard));
            let turn = before.and_then(|b| self.turn(&b, &seen));
            if let Some((turn_rad, noise)) = turn {
                heading.turn(turn_rad, noise);
                turns.push(TurnEvidence {
                    from: place - 1,
                    to: place,
                    turn_rad,
                    noise_rad: noise.rad(),
                });
            }
            let steer = heading.steer(*first_up.get_or_insert(up));
            let by_gyro = (
                steer,
                Angle::from_rad(heading.noise.hypot(chip.gyro_scale * steer.rad())),
            );
            let (steer, steer_standard) = match (plate, turn) {
                (_, Some(_)) => by_gyro,
                (Some(plate), None) => (plate.value, plate.standard),
                (None, None) => (Angle::ZERO, Angle::ZERO),
            };
            marks.push(Mark {
                steer,
                steer_standard,
                straight: window.kind == WindowKind::Straight,
            });
            let Seen {
                accel_g,
                noise_g,
                degrees_of_freedom,
                per_metre_g,
                ..
            } = seen;
            rests.push(RestEvidence {
                rest: number,
                accel_g,
                noise_g,
                degrees_of_freedom,
                plate,
                per_metre_g,
            });
            seconds += seen.to.since_s(seen.from);
            before = Some(seen);
        }
        let (Some(mounting), Some(last)) = (mounting, before) else {
            return Err(SessionError::NoStraight);
        };
        let evidence = WheelEvidence {
            side,
            chip,
            rests,
            turns,
            run_out,
            declared: self.board.face.map(|face| DeclaredSpindle {
                outboard: face.outboard,
                heading: face.heading,
                lean: face.lean,
            }),
            toe: session.toe[usize::from(side == Side::Right)],
        };
        if evidence.turns.is_empty() && evidence.rests.iter().skip(1).all(|r| r.plate.is_none()) {
            // Nothing but gravity: the hub's pitch tells roughly how far it was steered.
            for (place, mark) in marks.iter_mut().enumerate() {
                mark.steer = by_pitch(&evidence, spindle, place).unwrap_or(Angle::ZERO);
                mark.steer_standard = mark.steer * 0.3;
            }
        }
        Ok((
            Candidate {
                evidence,
                mounting,
                marks,
                at: last.to,
            },
            seconds,
        ))
    }

    /// Turns of this wheel on its bearing.
    fn run_out(
        &self,
        session: &Session,
        side: Side,
    ) -> Result<Vec<Vec<RunOutEvidence>>, SessionError> {
        let mine = |w: &&Window| w.corner.is_none_or(|corner| corner == side);
        let stops: Vec<RunOutEvidence> = session
            .windows
            .iter()
            .filter(|w| w.kind == WindowKind::RunOutStop)
            .filter(mine)
            .filter_map(|window| self.rest(window))
            .map(|measure| RunOutEvidence::rested(&measure))
            .collect();
        let mut groups = self.board.before.run_out.clone();
        if stops.len() > 1 {
            groups.push(stops);
        }
        for window in session
            .windows
            .iter()
            .filter(mine)
            .filter(|w| matches!(w.kind, WindowKind::Spin | WindowKind::Roll))
        {
            let (from, to) = (
                self.own(window.from, self.trim_us),
                self.own(window.to, -self.trim_us),
            );
            let bins = measure::bins(
                measure::between(&self.board.samples, from, to),
                &self.board.chip,
            );
            if bins.len() > 3 {
                groups.push(
                    bins.into_iter()
                        .map(|(accel_g, noise_g)| RunOutEvidence {
                            accel_g,
                            noise_g,
                            degrees_of_freedom: f64::INFINITY,
                            still: false,
                        })
                        .collect(),
                );
            }
        }
        for group in &groups {
            let arc =
                run_out_normal(group, side).map_or(Angle::ZERO, |axis| arc_round(group, axis));
            if arc < LEAST_ARC && self.board.face.is_none() {
                return Err(SessionError::ShortArc {
                    side,
                    arc_deg: arc.deg(),
                    least_deg: LEAST_ARC.deg(),
                });
            }
        }
        Ok(groups)
    }

    fn spindle(
        &self,
        run_out: &[Vec<RunOutEvidence>],
        side: Side,
    ) -> Result<Dir<Board>, SessionError> {
        match (&self.board.face, run_out.first()) {
            (Some(face), _) => Ok(face.outboard),
            (None, Some(group)) => {
                run_out_normal(group, side).ok_or(SessionError::NoSpindle { side })
            }
            (None, None) => Err(SessionError::NoSpindle { side }),
        }
    }

    fn body(&self, session: &Session, windows: &[&Window]) -> Option<BodyEvidence> {
        let rests: Vec<RestEvidence> = windows
            .iter()
            .enumerate()
            .filter_map(|(number, window)| {
                let measure = self.rest(window)?;
                Some(RestEvidence::rested(number, &measure, None))
            })
            .collect();
        let jacked = match (
            self.jacked(session, Side::Left),
            self.jacked(session, Side::Right),
        ) {
            (Some(left), Some(right)) => Some(Jackings {
                left,
                right,
                pitch_difference: session.jacking_pitch,
            }),
            _ => self.board.before.jacked,
        };
        let forward = self.board.face.map(|face| (face.outboard, face.heading));
        (rests.len() == windows.len() && (jacked.is_some() || forward.is_some())).then_some(
            BodyEvidence {
                chip: self.board.chip,
                rests,
                jacked,
                forward,
            },
        )
    }

    /// The body while this corner was jacked: all such rests together.
    fn jacked(&self, session: &Session, side: Side) -> Option<RunOutEvidence> {
        let rests: Vec<RestMeasure> = session
            .windows
            .iter()
            .filter(|w| {
                matches!(w.kind, WindowKind::RunOutStop | WindowKind::Jacked)
                    && w.corner == Some(side)
            })
            .filter_map(|w| self.rest(w))
            .collect();
        mean_rest(&rests)
    }
}
