// Invented states to draw the page with, without a daemon. One function per part;
// a scene is a small departure from the ordinary.
import { CARRIED, CHECK_IDLE, LOCKED, PLATES, RESULT, ROCKING } from './check-scenes';
import { BROKER_AWAY } from './reach-scene';
import type { AngleView, BoardView, CalibrationProcedureView, CalibrationView, FindingView, LevellingView, MountView, RestView, RunOutView, ScenarioView, SetupView, StateView, SwingCurveView, SwingView, WheelView } from '../src/contract/types';

export const TRUTH = {
  front_left: { camber_deg: -0.62, caster_deg: 5.1, sai_deg: 12.8, included_deg: 12.18 },
  front_right: { camber_deg: 0.35, caster_deg: 4.55, sai_deg: 12.95, included_deg: 13.3 },
} as const;
type Front = keyof typeof TRUTH;
const FRONTS: readonly Front[] = ['front_left', 'front_right'];

export const scenario: ScenarioView = {
  name: 'lowered coupé',
  about: 'An invented coupé whose right front has been knocked.',
  seed: 4711,
  wheels: FRONTS.map((mount) => ({ mount, ...TRUTH[mount] })),
};

/** A calibration of yesterday; a departure from it by `more`. */
export function calibrated(more: Partial<CalibrationView> = {}): CalibrationView {
  return {
    state: 'valid',
    source: 'stored',
    say: 'Calibrated: done yesterday at 23 °C.',
    trouble: null,
    date: '2026-04-10T08:00:00Z',
    age_days: 1,
    temperature_c: 23,
    poses: 12,
    residual_mg: 0.11,
    offset_standard_mg: 0.2,
    settled: null,
    procedure: null,
    ...more,
  };
}

export const laying: CalibrationProcedureView = {
  run: 1,
  kind: 'poses',
  phase: 'lay',
  say: 'Lay the board down with arrow X up.',
  held_s: 0,
  hold_needed_s: 4,
  taken: 2,
  to_go: 10,
  missing_faces: ['+x', '-x', '+y', '-y'],
  missing_edges: ['xy', 'xz', 'yz'],
  can_solve: false,
  sensing: null,
  about: null,
  worst_pose: null,
  trouble: null,
  result: null,
};

const bench = (more: Partial<CalibrationProcedureView>) =>
  state({ boards: [board('front_left', { calibrated: false, calibration: calibrated({ state: 'absent', source: null, procedure: { ...laying, ...more } }) }), board('front_right')] });

export function board(mount: MountView, more: Partial<BoardView> = {}): BoardView {
  return {
    id: `usb-${mount}`,
    name: `${mount.replace('_', ' ')} hub`,
    mount,
    configured: false,
    sits: { outboard: '+z', up: '+y' },
    up_now: '+y',
    taken_in: false,
    state: 'live',
    port: `/dev/serial/by-id/board-${mount}`,
    baud: 115200,
    baud_is_guess: false,
    format: 'csv',
    format_is_guess: false,
    rate_hz: 199.6,
    good_frames: 48211,
    bad_frames: [],
    dropped: 0,
    temperature_c: 23.4,
    calibrated: true,
    calibration: calibrated(),
    clock_ppm: -18.2,
    time_by: 'device',
    about: {},
    ...more,
  };
}

const sense = (camber_deg: number) => (camber_deg < 0 ? 'top in' : 'top out');

export function wheel(mount: MountView, camber_deg: number, at_us: number, moving = false): WheelView {
  return {
    mount,
    camber: { status: 'known', value_deg: camber_deg, expanded_deg: moving ? 0.21 : 0.061, sense: sense(camber_deg), at_us },
    hub_pitch: { status: 'known', value_deg: 0.2, expanded_deg: 0.06, sense: 'front up', at_us },
    motion: moving ? 'moving' : 'still',
  };
}

/** Camber over steer as a wheel with some caster and SAI has it. */
export function camberAt(mount: Front, steer_deg: number): number {
  const { camber_deg, caster_deg, sai_deg } = TRUTH[mount];
  const out = ((mount === 'front_left' ? 1 : -1) * steer_deg * Math.PI) / 180;
  return camber_deg + sai_deg * (1 - Math.cos(out)) + caster_deg * Math.sin(out);
}

export function curves(run: number, rests: readonly RestView[]): SwingCurveView[] {
  return FRONTS.map((mount) => ({
    run,
    mount,
    stops: rests.flatMap(({ wheels }) => wheels.filter((wheel) => wheel.mount === mount).map(({ steer_deg, camber_deg, camber_expanded_deg }) => [steer_deg ?? 0, camber_deg, camber_expanded_deg] as [number, number, number])),
    fitted: Array.from({ length: 41 }, (_, nth) => [-22 + 1.1 * nth, camberAt(mount, -22 + 1.1 * nth)] as [number, number]),
  }));
}

export function rest(index: number, steer_deg: number): RestView {
  return {
    index,
    straight: steer_deg === 0,
    wheels: FRONTS.map((mount) => ({
      mount,
      steer_deg: steer_deg === 0 ? 0.02 : steer_deg + (mount === 'front_left' ? 0.4 : -0.3),
      plate_deg: null,
      camber_deg: camberAt(mount, steer_deg),
      camber_expanded_deg: 0.09,
    })),
  };
}

function finding(run: number, mount: Front, angle: AngleView, value_deg: number, expanded_deg: number, word: string): FindingView {
  return {
    run,
    mount,
    angle,
    value_deg,
    standard_deg: expanded_deg / 2,
    expanded_deg,
    sense: word,
    largest_contributor: angle === 'camber' ? 'offset of the accelerometer' : 'scale of the gyro',
    largest_share: angle === 'camber' ? 0.81 : 0.54,
    advice: angle === 'camber' ? 'Calibrate the board in six poses.' : 'Steer further to both sides, or read the turn plates.',
    two_reading_deg: angle === 'caster' ? value_deg + 0.07 : null,
    left_out: [],
    body_watched: false,
    at_us: 0,
  };
}

export function findings(run: number): FindingView[] {
  return FRONTS.flatMap((mount) => {
    const t = TRUTH[mount];
    const off = mount === 'front_left' ? 0.034 : -0.041;
    const sai_off = mount === 'front_left' ? -0.09 : 0.31;
    return [
      finding(run, mount, 'caster', t.caster_deg + off, 0.118, 'lean back'),
      finding(run, mount, 'sai', t.sai_deg + sai_off, 0.24, 'top inboard'),
      finding(run, mount, 'included_angle', t.included_deg + sai_off + 0.01, 0.25, 'opens downward'),
      finding(run, mount, 'camber', t.camber_deg + 0.01, 0.06, sense(t.camber_deg)),
    ];
  });
}

export const idle: SwingView = {
  run: 0,
  phase: 'idle',
  say: 'Put the front wheels on turn plates and start the swing.',
  steer_source: 'gyro',
  held_s: 0,
  hold_needed_s: 4,
  steer_deg: null,
  wheels: [],
  rests: [],
  body: { state: 'none', text: 'No board watches the body: what it may roll is counted into the ±.' },
  trouble: null,
  notes: [],
};

export function runOut(mount: MountView, more: Partial<RunOutView> = {}): RunOutView {
  return {
    mount,
    sits_by: 'declared',
    run: 0,
    phase: 'idle',
    say: 'The board is taken to sit as declared.',
    jacked: true,
    held_s: 0,
    hold_needed_s: 1.2,
    stops: 0,
    arc_deg: 0,
    would_do: false,
    trouble: null,
    result: null,
    ...more,
  };
}

export function levelling(more: Partial<LevellingView> = {}): LevellingView {
  return {
    floor: {
      roll_deg: 0,
      roll_expanded_deg: 0.196,
      roll_sense: 'level',
      pitch_deg: 0,
      pitch_expanded_deg: 0.196,
      pitch_sense: 'level',
      by: 'configuration',
      twist_mm: null,
      lines: [],
      half: null,
    },
    toes: FRONTS.map((mount) => ({ mount, toe_deg: 0, expanded_deg: 0.49, entered: false })),
    body: { jacked_left: false, jacked_right: false, by_jackings: false, forward: null, forward_standard_deg: null },
    run_outs: FRONTS.map((mount) => runOut(mount)),
    ...more,
  };
}

const TURNED = {
  outboard: [0.02, -0.01, 0.9997],
  lean_expanded_deg: 0.02,
  heading_expanded_deg: 0.021,
  outboard_by: 'declared_face' as const,
  arc_deg: 271,
  stops: 4,
  spins: 0,
  off_cone_deg: 0.01,
  lean_there_deg: 3.1,
  off_declared_deg: 1.3,
  body_seen: true,
  at_us: 0,
};

/** Nothing is being placed; a departure from it by `more`. */
export function setup(more: Partial<SetupView> = {}): SetupView {
  return {
    configured: false,
    naming: { run: 0, mount: null, say: '', to_come: [], named: [], skipped: [], heard: null },
    bluetooth: { looking: false, seen: [], trouble: null },
    trouble: null,
    practice: 'off',
    ...more,
  };
}

/** Four boards that were plugged in and not placed. */
const unplaced = (['front_left', 'front_right', 'rear_left', 'rear_right'] as const).map((mount, nth) =>
  board(mount, { id: `usb-${nth}`, name: `board ${nth + 1}`, mount: null, sits: null, baud_is_guess: true, format_is_guess: true }),
);
const placed = unplaced.map((one, nth) => ({ ...one, mount: (['front_left', 'front_right', 'rear_left', 'rear_right'] as const)[nth] ?? null }));

/** Scenes of the first run. */
const FIRST_RUN: Record<string, () => StateView> = {
  first_empty: () => state({ boards: [], wheels: [], scenario: null }),
  first_found: () =>
    state({
      boards: unplaced,
      wheels: [],
      scenario: null,
      setup: setup({ bluetooth: { looking: false, trouble: null, seen: [{ port: 'ble:C0:FF:EE:00:12:34', name: 'hub', signal_dbm: -61, likely: true, here: false }] } }),
    }),
  first_tap: () =>
    state({
      boards: [{ ...(placed[0] as BoardView) }, ...unplaced.slice(1)],
      wheels: [],
      scenario: null,
      setup: setup({
        naming: {
          run: 1,
          mount: 'front_right',
          say: 'Tap the board on the front right hub now.',
          to_come: ['rear_left', 'rear_right', 'body'],
          named: [{ mount: 'front_left', board: 'usb-0' }],
          skipped: [],
          heard: { number: 2, result: 'alike', text: 'Several boards moved alike, so nobody was named. Let the car come to rest and tap one board again, with a finger.' },
        },
      }),
    }),
  first_face: () => state({ boards: placed, wheels: [], scenario: null }),
  first_practice: () => state({ setup: setup({ configured: true, practice: 'inside' }) }),
};

export function state(more: Partial<StateView> = {}): StateView {
  const now_us = Math.round(performance.now() * 1000);
  return {
    version: '0.1.0',
    run: 'canned',
    serial: 1,
    now_us,
    boards: [board('front_left'), board('front_right')],
    wheels: FRONTS.map((mount) => wheel(mount, TRUTH[mount].camber_deg, now_us)),
    swing: idle,
    findings: [],
    curves: [],
    differences: [],
    levelling: levelling(),
    visit: { id: null, entries: 0 },
    check: CHECK_IDLE,
    checked: [],
    setup: setup(),
    publishing: { state: 'off', broker: null, waiting: 0, given_up: 0, trouble: null },
    scenario,
    ...more,
  };
}

const unplugged = {
  code: 'port_absent',
  what: 'The port of this board is gone.',
  meaning: 'Nothing is measured at this wheel until it is back.',
  remedy: 'Check the cable and the plug at both ends; the board is taken up again by itself.',
};

const now = () => Math.round(performance.now() * 1000);
const three = [rest(0, 0), rest(1, 20.2), rest(2, -19.7)];

/** Still pictures of every situation, by name. */
export const SCENES: Record<string, () => StateView> = {
  ...FIRST_RUN,
  idle: () => state(),
  broker_away: () => state({ publishing: BROKER_AWAY }),
  single: () => state({ boards: [board('front_left')], wheels: [wheel('front_left', -0.62, now())] }),
  four: () =>
    state({
      boards: (['front_left', 'front_right', 'rear_left', 'rear_right', 'body'] as const).map((mount) => board(mount)),
      wheels: [wheel('front_left', -0.62, now()), wheel('front_right', 0.35, now()), wheel('rear_left', -1.48, now()), wheel('rear_right', -1.61, now())],
    }),
  bare: () => state({ boards: [], wheels: [], scenario: null }),
  trouble: () =>
    state({
      scenario: null,
      boards: [
        board('front_left', { format_is_guess: true, baud_is_guess: true, bad_frames: [{ reason: 'checksum', count: 12 }, { reason: 'wrong_column_count', count: 1204 }], calibrated: false }),
        board('front_right', { state: 'absent', rate_hz: null, trouble: unplugged }),
      ],
      wheels: [
        wheel('front_left', -3.62, now(), true),
        { mount: 'front_right', motion: 'unknown', camber: { status: 'missing', reason: 'absent', text: 'no board on this wheel: its port is gone' }, hub_pitch: { status: 'missing', reason: 'absent', text: 'no board' } },
      ],
    }),
  check_rock: () => state({ check: ROCKING }),
  check_locks: () => state({ check: LOCKED }),
  check_carried: () => state({ check: CARRIED }),
  check_plates: () => state({ check: PLATES }),
  check_done: () => state({ check: { ...LOCKED, phase: 'done' }, checked: [RESULT] }),
  run_out: () =>
    state({
      levelling: levelling({
        run_outs: [
          runOut('front_left', { run: 1, phase: 'taken', stops: 3, arc_deg: 180, would_do: true, say: 'Turn the wheel on by about a quarter, the way it rolls forward, and let go. Or finish with what is there.' }),
          runOut('front_right'),
        ],
      }),
    }),
  run_out_hold: () =>
    state({ levelling: levelling({ run_outs: [runOut('front_left', { run: 1, phase: 'hold', held_s: 0.7, stops: 2, arc_deg: 92, say: 'Keep still.' }), runOut('front_right')] }) }),
  turned: () =>
    state({
      boards: [board('front_left'), board('front_right'), board('body')],
      levelling: levelling({
        body: { jacked_left: true, jacked_right: false, by_jackings: false, forward: null, forward_standard_deg: null },
        run_outs: [
          runOut('front_left', { sits_by: 'run_out', run: 1, phase: 'done', result: TURNED }),
          runOut('front_right', {
            sits_by: 'unknown',
            run: 1,
            phase: 'refused',
            trouble: { code: 'short_arc', what: 'The front right wheel was turned through 90°.', meaning: 'From so small an arc its spin axis would be a guess.', remedy: 'Turn it through 120° at least; four quarter turns are best.' },
          }),
        ],
      }),
    }),
  straight: () => state({ swing: { ...idle, run: 1, phase: 'await_straight', say: 'Set the wheels straight ahead and let go of the steering wheel.', steer_deg: 0.3 } }),
  hold: () => state({ swing: { ...idle, run: 1, phase: 'hold_straight', say: 'Keep still: straight ahead is being taken.', held_s: 2.3, steer_deg: 0.02 } }),
  turning: () => state({ swing: { ...idle, run: 1, phase: 'turning', say: 'Steer left to about 20° and stop there.', steer_deg: 13.7, rests: [rest(0, 0)] } }),
  stop: () => state({ swing: { ...idle, run: 1, phase: 'hold_stop', say: 'Keep still: this stop is being taken.', held_s: 1.2, steer_deg: -19.6, rests: three.slice(0, 2) } }),
  taken: () => state({ swing: { ...idle, run: 1, phase: 'stop_taken', say: 'Taken. Steer back to straight ahead.', steer_deg: -19.7, rests: three } }),
  mid_trouble: () =>
    state({
      boards: [board('front_left'), board('front_right', { state: 'absent', rate_hz: null, trouble: unplugged })],
      swing: { ...idle, run: 1, phase: 'turning', say: 'The front right board is gone: plug it in again, then steer on.', steer_deg: 8.4, rests: [rest(0, 0)] },
    }),
  plates: () => state({ swing: { ...idle, run: 1, phase: 'await_plates', steer_source: 'plates', say: 'Type in what the turn plates showed at each stop.', rests: [...three, rest(3, 0)] } }),
  read: () => state({ swing: { ...idle, run: 1, phase: 'stop_taken', steer_source: 'plates', say: 'Now steer to the right, about twenty degrees, and let go.', steer_deg: 20.2, rests: three.slice(0, 2) } }),
  done: () => state({ swing: { ...idle, run: 2, phase: 'done', say: 'Done. The findings are below.', rests: [...three, rest(3, 0)] }, findings: [...findings(1), ...findings(2)], curves: curves(2, [...three, rest(3, 0)]) }),
  calibration_lay: () => bench({}),
  calibration_hold: () => bench({ phase: 'hold', held_s: 2.4, say: 'Hands off: it is being measured.' }),
  calibration_slant: () => bench({ phase: 'taken', taken: 7, to_go: 5, missing_faces: [], missing_edges: ['xz', 'yz'], can_solve: true, say: 'Lean the board on something steady, so that arrows X and Z both slant halfway.' }),
  calibration_solved: () =>
    bench({
      phase: 'solved',
      taken: 12,
      to_go: 0,
      missing_faces: [],
      missing_edges: [],
      say: 'Done. Keep the result or discard it.',
      result: {
        say: 'The offset is known to ± 0.16 mg (one sigma). In camber that leaves ± 0.02°, 95 times in 100.',
        offset_mg: [31.2, -12.4, 8.8],
        offset_standard_mg: 0.16,
        camber_expanded_deg: 0.018,
        residual_mg: 0.11,
        worst_pose: 4,
        worst_mg: 0.31,
        temperature_c: 24.6,
        temperature_span_c: 0.7,
        is_gain: true,
        notes: [],
      },
    }),
  calibration_disagree: () =>
    bench({
      phase: 'taken',
      taken: 12,
      to_go: 0,
      missing_faces: [],
      missing_edges: [],
      worst_pose: 8,
      say: 'Pose 9 does not fit the others. Take it back and lay the board that way again.',
      trouble: { code: 'poses_disagree', what: 'The poses contradict each other by 8.3 mg (at most 3.0 mg is taken for noise); pose 9 most, by 21.0 mg.', meaning: 'At that pose the board was not at rest, or its cable pulled on it.', remedy: 'Take that pose back, then lay the board that way again on a steady table with its cable loose.' },
    }),
  uncalibrated: () =>
    state({
      boards: [
        board('front_left', { calibrated: false, calibration: calibrated({ state: 'absent', source: null, say: 'Not calibrated.', offset_standard_mg: 50 }) }),
        board('front_right', { calibration: calibrated({ state: 'old', say: 'Calibration old: done 400 days ago at 23 °C.', age_days: 400 }) }),
      ],
    }),
  refused: () =>
    state({
      swing: {
        ...idle,
        run: 1,
        phase: 'refused',
        say: 'The swing was given up.',
        rests: three.slice(0, 2),
        trouble: { code: 'arc_too_short', what: 'The wheels turned by 11° only.', meaning: 'Caster from so short an arc would be known to no better than half a degree.', remedy: 'Start again and steer at least 15° to each side.' },
      },
    }),
};
