// Guided checks, to draw the page with.
import type { CheckResultView, CheckView } from '../src/contract/types';

export const CHECK_IDLE: CheckView = {
  run: 0,
  kind: null,
  mount: null,
  phase: 'idle',
  say: 'No check was started.',
  cautions: [],
  held_s: 0,
  hold_needed_s: 4,
  taken: 0,
  wanted: null,
  steer_deg: null,
  can_finish: false,
  carried: null,
  wants: null,
  stops: [],
  trouble: null,
};

export const ROCKING: CheckView = {
  ...CHECK_IDLE,
  run: 1,
  kind: 'play',
  mount: 'front_left',
  phase: 'rock',
  say: 'Rock the wheel with the hands at the top and the bottom.',
  cautions: ['The corner is raised: stands of the right rating under the car, never a jack alone.'],
  held_s: 6.2,
  hold_needed_s: 10,
};

export const LOCKED: CheckView = { ...CHECK_IDLE, run: 2, kind: 'centring', phase: 'moving', say: 'Steer to the left lock, gently, and stop there.', taken: 1, wanted: 5, steer_deg: 21.4, stops: [{ steer_left_deg: 0.1, steer_right_deg: -0.1 }] };

export const CARRIED: CheckView = {
  ...CHECK_IDLE,
  run: 4,
  kind: 'carried_toe',
  phase: 'taken',
  say: 'Taken. Carry it to the right front rim in about six seconds, without turning or leaning it much.',
  cautions: ['The way from rim to rim goes round the car, never under it; see that nothing lies on it to stumble over, and that the board’s cable is long enough.'],
  taken: 2,
  wanted: 4,
  can_finish: true,
  carried: { place: 'front_left', turned: true, turn_now: false, left_out: 0, last_left_out: null, value_deg: 0.124, expanded_deg: 0.043, asked_deg: 0.05, with_edge: false },
};

export const PLATES: CheckView = { ...CHECK_IDLE, run: 3, kind: 'centring', phase: 'await_figure', say: 'Type what both turn plates show.', taken: 1, wanted: 5, wants: { what: 'plates', position: 'left', may_step: false } };

export const RESULT: CheckResultView = {
  run: 2,
  kind: 'centring',
  mount: null,
  say: 'The middle between the locks is 0.6° to the left.',
  findings: [
    { quantity: 'off_centre', name: 'Middle between the locks', mount: null, turn: null, value: 0.61, unit: 'deg', standard: 0.11, expanded: 0.23, sense: 'more lock to the left', largest_contributor: 'scale of the gyro', largest_share: 0.71, advice: 'Read the turn plates.' },
    { quantity: 'lock_left', name: 'Left lock', mount: null, turn: null, value: 34.2, unit: 'deg', standard: 0.2, expanded: 0.4, sense: '', largest_contributor: 'scale of the gyro', largest_share: 0.9, advice: '' },
  ],
  notes: ['Both locks were gone to once.'],
  pairs: [],
  curves: [],
  at_us: 0,
};
