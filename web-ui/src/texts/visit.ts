// Texts about visits, in English. What the daemon words itself is shown as it comes.
import type { AfterMove, Corner, Quantity, Stage } from '../contract/types';
import type { VerdictShape } from '../state/verdict';
import type { Toward } from '../state/work';

export const CORNER: Record<Corner, string> = {
  front_left: 'front left',
  front_right: 'front right',
  rear_left: 'rear left',
  rear_right: 'rear right',
};

export const STAGE: Record<Stage, string> = {
  preparing: 'preparing',
  before: 'before',
  adjusting: 'adjusting',
  after: 'after',
  closed: 'closed',
};

/** What the stages ask for, as a button. */
export const GO_ON: Record<Stage, string> = {
  preparing: 'Prepare again',
  before: 'Measure the car as it came',
  adjusting: 'Adjust',
  after: 'Measure what was done',
  closed: 'Close the visit',
};

export const visit = {
  title: 'Visit',
  none: 'no visit – procedures go into none',
  choose: 'Choose a car and begin a visit: what is found is then kept in it.',
  line: (car: string, stage: string) => `${car}, ${stage}`,
  began: (when: string) => `begun ${when}`,
  bar: 'Parts of the visit',
  now: 'now',
  next: 'next',
  done: 'done',
  ahead: 'ahead',
  putAway: 'Put away',
  toHand: 'Take to hand',
  atHand: 'at hand',
  list: 'Earlier visits',
  listNone: 'No visit yet.',
  sheet: 'Sheet',
  remove: 'Delete',
  removeAsk: (name: string) => `This deletes the visit with its recordings and cannot be undone. Type the name of its car, ${name}, to delete it.`,
  removeField: 'Name of its car',
  removeNow: 'Delete this visit',
  keepIt: 'Keep it',
  note: 'Note',
  notes: 'Notes',
  noteKeep: 'Keep this note',
  degrees: 'degrees',
  minutes: 'degrees and minutes',
  notation: 'Angles in',
};

export const prepare = {
  title: 'Preparing',
  line: (done: number, all: number) => `${done} of ${all} points seen to`,
  done: 'Seen to',
  undo: 'Open again',
  note: 'What you noticed',
  off: 'Off from the car’s data',
  allRight: 'As the car’s data ask, as far as it was entered.',
  goOn: 'Prepared: measure the car as it came',
  keep: 'Keep these figures',
  wanted: (value: string, unit: string) => `wanted ${value} ${unit}`,
  noWanted: 'no figure in the car’s data',
  groups: {
    tyre_kpa: ['Tyre pressure', 'kPa'],
    tread_mm: ['Tread', 'mm'],
    ride_height_mm: ['Ride height', 'mm'],
  } as const,
  load: 'who and what is in the car',
  place: 'temperature of the place',
  wrong: 'not a number – type for example 2,5',
  from: (what: string) => `Measured ${what}.`,
  cautions: 'Mind this',
};

export const VERDICT: Record<VerdictShape, string> = {
  inside: 'inside',
  outside: 'outside',
  undecided: 'undecided',
  unjudged: 'no limits',
};

export const table = {
  title: 'Before and after',
  none: 'Nothing was found in this visit yet.',
  limits: (low: string | null, high: string | null) =>
    low !== null && high !== null ? `${low} to ${high}` : low !== null ? `at least ${low}` : high !== null ? `at most ${high}` : '',
  target: (target: string) => `aim ${target}`,
  noLimits: 'no limits in the car’s data',
  chance: (percent: string) => `${percent} inside`,
  decide: 'Would decide it:',
  notYet: 'not measured',
  difference: 'left − right',
  most: (most: string) => `at most ${most}`,
  correlation: (r: string) => `correlation ${r}`,
  front: 'front',
  rear: 'rear',
  better: 'What would make it better:',
  largest: (cause: string) => `Most of the ±: ${cause}.`,
  caveat: 'Heed:',
  runs: 'What was done',
  takeBack: 'Take back',
  takenBack: 'taken back',
  why: 'Why it does not hold',
  takeBackNow: 'Take this run back',
  keep: 'Let it stand',
  details: 'more about it',
  tally: (n: number, word: string) => `${n} ${word}`,
  findings: (n: number) => (n === 1 ? '1 finding' : `${n} findings`),
};

export const meaning = {
  title: 'What it may mean',
  none: 'Nothing to say yet.',
  about: 'These are candidates, not verdicts: each fits the findings more or less, and each has a next check that can speak against it.',
  first: 'Rule out first',
  evidence: 'Speaks for it',
  next: 'Next check',
  heed: 'Heed',
  line: (n: number) => (n === 1 ? '1 candidate' : `${n} candidates`),
};

export const work = {
  title: 'Adjusting',
  none: 'Nothing to adjust: no finding is off its aim, or the car’s data name no target.',
  line: (n: number) => (n === 1 ? '1 step' : `${n} steps`),
  about: 'In this order, for what comes later is moved by what comes before.',
  begin: 'Begin adjusting',
  open: 'Do this step',
  by: (adjuster: string) => `by ${adjuster}`,
  stands: 'stands at',
  aim: 'aim',
  limits: 'limits',
  live: 'live',
  standing: (when: string) => `as found at ${when}, not live`,
  because: 'Why now:',
  changes: 'Also changes:',
  known: (from: string) => `effect known from: ${from}`,
  cautions: 'Mind this first',
  mindFirst: (n: number) => (n === 1 ? 'Mind 1 point first' : `Mind ${n} points first`),
  after: 'After the move',
  there: 'Hold – it is there',
  thereSay: 'The rest cannot be told apart from the aim.',
  enough: 'inside the limits',
  toGo: 'to go',
  moved: 'I moved it',
  movedTitle: 'What was moved',
  adjuster: 'which adjuster',
  corner: 'at which corner',
  amount: (unit: string) => (unit === '' ? 'how far' : `how far, ${unit}`),
  bolts: ['front bolt', 'rear bolt'] as const,
  sign: '+ the way the advice counts, − the other way',
  seenTo: 'Seen to',
  after_move: { locked: 'locked', torqued: 'tightened to the maker’s value', settled: 'bounced or rolled' } satisfies Record<AfterMove, string>,
  keep: 'Keep this move',
  cancel: 'Not moved',
  back: 'Back to the worksheet',
  again: 'Now measure again',
  againSay: 'The move is kept. What was found before it does not hold any more; measure again to see what it did.',
  measureAgain: 'Measure again',
  moves: 'Moves so far',
  noAdjuster: 'The car’s data name no adjuster for this; add one to the car to have advice in its units.',
  goOn: 'All adjusted: measure what was done',
};

/** Which way to go, in the words of the angle. */
export const TOWARD: Partial<Record<Quantity, Record<Toward, string>>> = {
  camber: { plus: 'Top out', minus: 'Top in' },
  caster: { plus: 'Lean back', minus: 'Lean forward' },
  sai: { plus: 'Lean in', minus: 'Lean out' },
  toe: { plus: 'Toe in', minus: 'Toe out' },
  total_toe: { plus: 'Toe in', minus: 'Toe out' },
  thrust: { plus: 'To the right', minus: 'To the left' },
  steer_ahead: { plus: 'To the right', minus: 'To the left' },
  steering_wheel: { plus: 'To the right', minus: 'To the left' },
  setback: { plus: 'Left ahead', minus: 'Right ahead' },
};
export const towardWords = (quantity: Quantity, toward: Toward): string => TOWARD[quantity]?.[toward] ?? (toward === 'plus' ? 'More' : 'Less');

export const closing = {
  title: 'Sheet',
  about: 'The sheet shows before beside after, and can be printed.',
  open: 'Open the sheet',
  json: 'Save the visit (JSON)',
  csv: 'Save the findings (CSV)',
  close: 'Close the visit',
  closed: 'This visit is closed: nothing is added to it.',
  reopen: 'Open it again',
};
