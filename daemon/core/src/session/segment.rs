//! What happened when, found from the movements alone.
//!
//! Each hub board is cut into rests. What lies between two rests is told by
//! the rotation: about the vertical it is steering, about the horizontal the
//! wheel was turned on its bearing, and little of either is a jack or a
//! settling car. The swing is the last chain of rests joined by steering; the
//! run-out is every rest joined to another by a turn on the bearing, or a long
//! turn itself. Without a gyro the change of gravity in the board stands in:
//! steering leans it by a few degrees, a turn on the bearing carries it far.
//!
//! Turn-plate readings cannot be placed this way; a session that has some
//! names its windows.

use crate::angle::Angle;
use crate::frames::{Board, Dir, Vec3};
use crate::reading::Motion;
use crate::rest::{RestMeasure, RestTally};
use crate::session::{Role, Session, SessionBoard, Window, WindowKind, align, measure};
use crate::side::Side;
use crate::stillness::StillnessDetector;
use crate::time::HostTime;

/// Rests shorter than this are pauses, µs.
const LEAST_REST_US: i64 = 1_200_000;
/// Steering by less is play in the hands.
const LEAST_STEER: Angle = Angle::from_deg(4.0);
/// Straight ahead again within this.
const STRAIGHT: Angle = Angle::from_deg(2.0);
/// To and fro beyond this is a sweep.
const LEAST_SWEEP: Angle = Angle::from_deg(30.0);
/// Gravity's lean that steering shows without a gyro.
const LEAST_LEAN: Angle = Angle::from_deg(0.3);
/// Gravity is back within this, without a gyro.
const STRAIGHT_LEAN: Angle = Angle::from_deg(0.2);
/// A turn on the bearing is at least this.
const LEAST_BEARING: Angle = Angle::from_deg(20.0);
/// A single turn on the bearing beyond this is a run-out by itself.
const WHOLE_BEARING: Angle = Angle::from_deg(150.0);
/// A rest that is off the plane of the others' gravity by this was not jacked like them, g.
const OFF_PLANE_G: f64 = 0.003;

/// A stretch of rest of one board.
struct Rest {
    from: HostTime,
    to: HostTime,
    measure: RestMeasure,
}

/// What lies between a rest and the next.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Between {
    /// Steered by this much, + left; none where only gravity tells.
    Steering(Option<Angle>),
    /// Steered to and fro without stopping, by this much in the end.
    Swept(Angle),
    /// The wheel was turned on its bearing, part of a turn.
    Bearing,
    /// The wheel was turned on its bearing, more than once round or nearly.
    Spin,
    /// Anything else.
    Other,
}

/// Windows by the clock of the first hub board.
pub(super) fn windows(session: &Session) -> Vec<Window> {
    let mut hubs = session.boards.iter().filter_map(|board| match board.role {
        Role::Hub(side) => Some((board, side)),
        Role::Body => None,
    });
    let Some((first, side)) = hubs.next() else {
        return Vec::new();
    };
    let mut windows = of_board(first, side);
    for (board, side) in hubs {
        let own = of_board(board, side);
        // The swing is common to both: its windows tell the other clock.
        let swing: Vec<Window> = windows
            .iter()
            .filter(|w| w.corner.is_none())
            .copied()
            .collect();
        let Some(offset_us) = align::best_offset_us(&swing, board) else {
            continue;
        };
        let shifted = own
            .into_iter()
            .filter(|w| w.corner.is_some())
            .map(|w| Window {
                from: HostTime::from_us(w.from.us() - offset_us),
                to: HostTime::from_us(w.to.us() - offset_us),
                ..w
            });
        windows.extend(shifted);
    }
    windows.sort_by_key(|w| w.from);
    windows
}

fn of_board(board: &SessionBoard, side: Side) -> Vec<Window> {
    let rests = rests(board);
    let between: Vec<Between> = rests
        .windows(2)
        .map(|pair| judge(board, &pair[0], &pair[1]))
        .collect();
    let mut windows = swing(&rests, &between);
    let window = |from, to, kind, corner| Window {
        from,
        to,
        kind,
        corner,
        plates: [None, None],
    };
    let joined = |index: usize| between.get(index) == Some(&Between::Bearing);
    let turned: Vec<&Rest> = rests
        .iter()
        .enumerate()
        .filter(|(index, _)| joined(*index) || index.checked_sub(1).is_some_and(joined))
        .map(|(_, rest)| rest)
        .collect();
    for rest in jacked_alike(&turned) {
        windows.push(window(
            rest.from,
            rest.to,
            WindowKind::RunOutStop,
            Some(side),
        ));
    }
    for (pair, between) in rests.windows(2).zip(&between) {
        if *between == Between::Spin {
            windows.push(window(
                pair[0].to,
                pair[1].from,
                WindowKind::Spin,
                Some(side),
            ));
        }
    }
    windows
}

/// The rests without a first or last one that the jack was not under: lowering
/// the car changes the spindle's lean, and shows as a tip of gravity that lies
/// off the plane of the others.
fn jacked_alike<'a, 'b>(rests: &'b [&'a Rest]) -> &'b [&'a Rest] {
    let mut kept = rests;
    while let [first, middle @ .., last] = kept {
        let (with_first, with_last) = (&kept[..kept.len() - 1], &kept[1..]);
        if middle.len() < 3 {
            break;
        }
        if off_plane(last, with_first) > OFF_PLANE_G {
            kept = with_first;
        } else if off_plane(first, with_last) > OFF_PLANE_G {
            kept = with_last;
        } else {
            break;
        }
    }
    kept
}

/// Distance of one rest's gravity from the plane of the others, g.
fn off_plane(one: &Rest, others: &[&Rest]) -> f64 {
    let tips: Vec<Vec3<Board>> = others.iter().map(|r| r.measure.accel_g).collect();
    let mean = tips.iter().fold(Vec3::zero(), |sum, t| sum + *t) * (1.0 / tips.len() as f64);
    let area = (0..tips.len()).fold(Vec3::zero(), |sum, i| {
        sum + (tips[i] - mean).cross(&(tips[(i + 1) % tips.len()] - mean))
    });
    Dir::along(area).map_or(0.0, |normal| {
        (one.measure.accel_g - mean).dot(&normal.vec()).abs()
    })
}

/// The last chain of rests joined by steering, with the moves between.
fn swing(rests: &[Rest], between: &[Between]) -> Vec<Window> {
    let steering = |b: &Between| matches!(b, Between::Steering(_) | Between::Swept(_));
    let Some(last) = between.iter().rposition(steering) else {
        return Vec::new();
    };
    let mut first = last;
    while first > 0 && steering(&between[first - 1]) {
        first -= 1;
    }
    let mut windows = Vec::new();
    let mut steer = Angle::ZERO;
    let start = Dir::along(rests[first].measure.accel_g);
    for index in first..=last + 1 {
        let rest = &rests[index];
        let mut straight = index == first;
        if index > first {
            let move_before = Window {
                from: rests[index - 1].to,
                to: rest.from,
                kind: match between[index - 1] {
                    Between::Swept(_) => WindowKind::Sweep,
                    _ => WindowKind::Move,
                },
                corner: None,
                plates: [None, None],
            };
            windows.push(move_before);
            straight = match between[index - 1] {
                Between::Steering(Some(by)) | Between::Swept(by) => {
                    steer += by;
                    steer.abs() < STRAIGHT
                }
                _ => start
                    .zip(Dir::along(rest.measure.accel_g))
                    .is_some_and(|(then, now)| then.angle_to(&now) < STRAIGHT_LEAN),
            };
        }
        let kind = if straight {
            WindowKind::Straight
        } else {
            WindowKind::Stop
        };
        windows.push(Window {
            from: rest.from,
            to: rest.to,
            kind,
            corner: None,
            plates: [None, None],
        });
    }
    windows
}

fn judge(board: &SessionBoard, before: &Rest, after: &Rest) -> Between {
    let (Some(up), Some(up_after)) = (
        Dir::along(before.measure.accel_g),
        Dir::along(after.measure.accel_g),
    ) else {
        return Between::Other;
    };
    let Some(Turned {
        whole,
        upright,
        gross,
    }) = turned(board, before, after, up)
    else {
        let lean = up.angle_to(&up_after);
        return if lean > LEAST_BEARING {
            Between::Bearing
        } else if lean > LEAST_LEAN {
            Between::Steering(None)
        } else {
            Between::Other
        };
    };
    let level = Angle::from_rad(
        (whole.rad().powi(2) - upright.rad().powi(2))
            .max(0.0)
            .sqrt(),
    );
    if gross > LEAST_SWEEP && upright.abs() * 3.0 < gross && level * 3.0 < gross {
        Between::Swept(upright)
    } else if upright.abs() > LEAST_STEER && upright.abs() > level * 2.0 {
        Between::Steering(Some(upright))
    } else if level > WHOLE_BEARING {
        Between::Spin
    } else if level > LEAST_BEARING {
        Between::Bearing
    } else {
        Between::Other
    }
}

/// How far a board turned between two rests.
struct Turned {
    /// The whole turn. Unlike a rotation vector it does not stop at half a turn.
    whole: Angle,
    /// Its part about the vertical, + left.
    upright: Angle,
    /// To and fro about the vertical added up.
    gross: Angle,
}

fn turned(board: &SessionBoard, before: &Rest, after: &Rest, up: Dir<Board>) -> Option<Turned> {
    let offset = (before.measure.rate_radps? + after.measure.rate_radps?) * 0.5;
    let samples = measure::between(&board.samples, before.to, after.from);
    let mut sum: Vec3<Board> = Vec3::zero();
    let mut gross = 0.0;
    for pair in samples.windows(2) {
        let step = (pair[0].rate_radps? - offset) * pair[1].at.since_s(pair[0].at);
        // A fixed axis keeps its components in the board, so the rates add up.
        sum = sum + step;
        gross += step.dot(&up.vec()).abs();
    }
    Some(Turned {
        whole: Angle::from_rad(sum.norm()),
        upright: Angle::from_rad(sum.dot(&up.vec())),
        gross: Angle::from_rad(gross),
    })
}

fn rests(board: &SessionBoard) -> Vec<Rest> {
    let mut detector = StillnessDetector::new();
    let mut rests = Vec::new();
    let mut tally: Option<RestTally> = None;
    for sample in &board.samples {
        if detector.observe(sample) == Motion::Still {
            tally.get_or_insert_with(RestTally::new).add(sample);
        } else if let Some(done) = tally.take() {
            rests.extend(rest(&done, board));
        }
    }
    if let Some(mut done) = tally {
        // Nothing moved up to the end of the recording.
        done.count_all();
        rests.extend(rest(&done, board));
    }
    rests
}

fn rest(tally: &RestTally, board: &SessionBoard) -> Option<Rest> {
    let measure = tally.measure(&board.chip)?;
    (measure.to.since_us(measure.from) >= LEAST_REST_US).then_some(Rest {
        from: measure.from,
        to: measure.to,
        measure,
    })
}
