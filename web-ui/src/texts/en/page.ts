// Texts of the page itself and of the lines that every visit has, in English. What the daemon
// words itself (`say`, senses, troubles, advice) is shown as it comes.
import type { AngleView, BoardState, LineName, MotionView, RunOutPhase, SteerSource, SwingPhase, TimeBy } from '../../contract/types';
import type { Cautions } from '../shape';
import { glance } from './glance';

/** Where a board is strapped on. */
export const { mounts } = glance;

export const head = {
  name: 'hubplumb',
  connecting: 'connecting',
  live: 'live',
  lost: (ago: string) => `connection lost ${ago} ago – values are old`,
  neverMet: 'no connection yet',
  simulated: 'simulated car',
  seed: (seed: number) => `seed ${seed}`,
  theme: 'Ink of the page',
  themes: { auto: 'light: auto', daylight: 'daylight', dark: 'dark' },
};

export const boards = {
  title: 'Boards',
  none: 'No board yet. Plug one in, or name its port in the configuration.',
  noMount: 'not strapped on',
  state: {
    live: 'live',
    absent: 'absent',
    refused: 'refused',
    silent: 'silent',
    unreadable: 'unreadable',
    listening: 'listening',
  } satisfies Record<BoardState, string>,
  rate: (rate: string) => `${rate} readings/s`,
  noRate: 'no readings',
  was: (state: string) => `was ${state}`,
  guess: (found: string) => `listening found: ${found} – a guess, put it in the config to make sure`,
  guessShort: 'guess',
  at: (format: string, baud: string) => `${format} at ${baud}`,
  speaks: 'speaks',
  port: 'port',
  unknown: 'not known yet',
  goodFrames: 'good frames',
  badFrames: 'bad frames',
  bad: (n: string) => `${n} bad`,
  noBad: 'none',
  dropped: 'dropped, daemon was late',
  temperature: 'chip',
  celsius: (value: string) => `${value}\u00a0°C`,
  ppm: (value: string) => `${value}\u00a0ppm`,
  clock: 'clock against ours',
  battery: (percent: string) => `battery ${percent}\u00a0%`,
  signal: (dbm: string) => `signal ${dbm}\u00a0dBm`,
  byArrival: 'timed by arrival',
  timeBy: 'times go by',
  time: {
    device: 'its own clock',
    numbers: 'the numbers of its readings',
    rate: 'its steady rate',
    arrival: 'their arrival, with every delay of the line in it',
  } satisfies Record<TimeBy, string>,
  madeBy: 'made by',
  model: 'model',
  serial: 'serial number',
  firmware: 'firmware',
  what: 'What happened',
  meaning: 'What it means',
  remedy: 'What to do',
  details: 'details',
  /** Reasons for bad frames that read better in words than as their code. */
  reason: {
    checksum: 'checksum wrong',
    line_too_long: 'line too long',
    not_a_number: 'not a number',
    wrong_column_count: 'wrong number of columns',
    unknown_type: 'unknown type',
    not_utf8: 'not text',
    bad_json: 'broken JSON',
    unsynchronised: 'cut off at the start',
  } as Record<string, string>,
};

export const floor = {
  title: 'Floor',
  about: 'All angles are against the floor under the four wheels. A centimetre over a track is 0.4° of camber, so it is worth a survey.',
  line: (across: string, along: string, by: string) => `${across}, ${along} – ${by}`,
  slope: (value: string, expanded: string, sense: string) => `${value} ± ${expanded} ${sense}`,
  across: 'across',
  along: 'along',
  by: { configuration: 'not surveyed', heights: 'by heights', lines: 'by straight-edge' },
  twist: (mm: string) => `The four pads are not in one plane: each is ${mm} mm off it. That is in the ±; shim a pad to be rid of it.`,
  heightsTitle: 'By heights, with a water level',
  heights: {
    front_left_mm: 'front left',
    front_right_mm: 'front right',
    rear_left_mm: 'rear left',
    rear_right_mm: 'rear right',
    track_front_mm: 'front track',
    track_rear_mm: 'rear track',
    wheelbase_mm: 'wheelbase',
    standard_mm: 'reading ±',
  },
  mm: 'mm',
  reads: { pad_height: 'figures are heights of the pads', water_above_pad: 'figures are water above the pads' },
  take: 'Take this survey',
  forget: 'Forget the survey',
  linesTitle: 'By a board on a straight-edge',
  linesAbout: 'Lay a stiff edge from pad to pad and a board flat on it. Take it, turn edge and board together end for end, take it again. One line across the car and one along it are the least. Not turned, any floor reads as level, and nobody can see that.',
  lines: { front: 'front pads', rear: 'rear pads', left: 'left pads', right: 'right pads' } satisfies Record<LineName, string>,
  lineSlope: (line: string, value: string, expanded: string) => `${line}: ${value} ± ${expanded}`,
  board: 'board',
  axis: 'its axis that points left, or to the front',
  first: 'Take it',
  second: 'Turned end for end: take it',
};

export const toe = {
  title: 'Toe of the front wheels',
  about: 'Toe at straight ahead turns caster and SAI. Measure it with string or tape, each side by itself; plus is toe-in.',
  now: (value: string, expanded: string) => `now ${value} ± ${expanded}`,
  presumed: 'not measured',
  degrees: 'degrees',
  standard: 'good to ± (one sigma)',
  take: 'Take this toe',
};

export const runOut = {
  before: {
    found: (at: string, what: string) => `hubplumb was started anew. Found before that, ${at}: ${what}.`,
    ask: 'Does everything still sit as it did?',
    holds: 'Nothing was moved: go on',
    moved: 'Measure anew',
  },
  title: 'Wheel run-out',
  about: 'Turn a wheel on its bearing and its board finds out by itself how it sits, at whatever angle it is strapped on.',
  beforeTitle: 'Before you jack a corner',
  sitsBy: {
    unknown: 'not known – turn the wheel',
    declared: 'as declared',
    run_out: 'found by turning',
  },
  line: (wheel: string, sits: string) => `${wheel} ${sits}`,
  jacked: 'Corner jacked: turn the wheel',
  rolled: 'Roll the car instead',
  again: 'Turn once more',
  finish: 'Finish with these stops',
  cancel: 'Give up',
  forget: 'Forget it: the board was moved',
  stops: (stops: number, arc: string) => `${stops} ${stops === 1 ? 'stop' : 'stops'}, ${arc}° round`,
  found: (lean: string, heading: string) => `Board known to ± ${lean} in camber and ± ${heading} in heading.`,
  offDeclared: (off: string) => `${off} from the declared side.`,
  offCone: (off: string) => `The stops lie within ${off} of one cone.`,
  notWatched: 'Three stops show no wobble; a fourth would.',
  leanThere: (lean: string) => `Camber was ${lean} while the wheel was turned. That is a hanging wheel’s camber, not the one to report.`,
  outboardBy: {
    declared_face: 'Outboard as declared.',
    away_from_car: 'Outboard by the axis away from the car.',
    forward_rolling: 'Outboard because the wheel was turned the way it rolls forward. If it was turned backward every sign is wrong: turn it again.',
  },
  body: {
    seen: 'The body board was watching.',
    title: 'Board on the body',
    byJackings: 'Its heading is found from both jackings.',
    half: 'One corner was jacked with it watching; jack the other too and its heading is found.',
    none: 'Fixed to the body anyhow but firmly, it takes the body’s roll out of caster. Jack both front corners with it watching, or say which axis points forward:',
    forward: (axis: string) => `Its ${axis} points forward, as declared.`,
  },
  phase: {
    idle: 'Not running',
    await_still: 'Let it rest',
    hold: 'Hold still',
    taken: 'Taken – turn on',
    turning: 'Turning',
    done: 'Done',
    refused: 'Refused',
  } satisfies Record<RunOutPhase, string>,
  /** What to see to before a corner is jacked. */
  cautions: [
    ['Level and firm', 'Jack on level, firm ground only; nobody in the car.'],
    ['Chocks and brake', 'Chock both sides of the wheels that stay down. Parking brake on where it holds wheels that stay down; selector in gear or park only if that does not hold the wheel you turn.'],
    ['On a stand', 'Lift at the maker’s point, then set a stand under the maker’s point before you turn the wheel. A jack lifts, it does not hold.'],
    ['Never under a jack', 'No part of you under a car that stands on a jack alone.'],
    ['Turn by hand', 'Brake pedal free, engine off. Turn the wheel by hand the way it rolls forward; keep the cable clear.'],
    ['Maker first', 'Where the vehicle maker’s data say otherwise, they are right and this page is not.'],
  ] as Cautions,
};

export const camber = {
  title: glance.title,
  none: 'No wheel has a board yet.',
  motion: { still: 'still', moving: 'moving', unknown: 'not known yet' } satisfies Record<MotionView, string>,
  fresh: glance.fresh,
  ago: glance.ago,
  noValue: glance.noValue,
  enlarge: (wheel: string) => `Show ${wheel} alone, larger`,
  shrink: 'Show all wheels again',
  all: 'all wheels',
  drawn: (factor: number) => `drawn ×${factor},`,
  pictureOf: (what: string, factor: number) => `${what}, drawn ${factor} times as large against the plumb line`,
};

export const swing = {
  title: 'Steering swing',
  about: 'Turn the front wheels to one side, to the other and back. From how the hubs tilt come caster and SAI.',
  beforeTitle: 'Before you start',
  sourceTitle: 'Where do the steer angles come from?',
  source: {
    gyro: ['Gyro', 'the boards feel how far the wheels turn'],
    plates: ['Turn plates', 'you read the plates and type the figures in'],
  } as Record<SteerSource, readonly [string, string]>,
  start: 'Start the swing',
  again: 'Swing once more',
  cancel: 'Cancel the swing',
  waiting: 'asking …',
  noBoards: 'Needs a live board on a front hub.',
  phase: {
    idle: 'Not running',
    await_straight: 'Set straight',
    hold_straight: 'Hold still',
    await_turn: 'Move',
    turning: 'Moving',
    hold_stop: 'Hold still',
    stop_taken: 'Taken – move on',
    hold_return: 'Hold still',
    await_plates: 'Read the plates',
    done: 'Done',
    refused: 'Refused',
  } satisfies Record<SwingPhase, string>,
  readThenMove: 'Read, then move on',
  held: (held: string, needed: string) => `${held} of ${needed} s held`,
  holdBar: 'Share of the time that is done',
  steer: 'Steer angle',
  left: 'left',
  right: 'right',
  toLeft: 'to the left',
  toRight: 'to the right',
  straight: 'straight ahead',
  noSteer: 'These boards have no gyro: the steer angle comes from the plates.',
  noSteerYet: 'no steer angle yet',
  restsTitle: 'Rests taken',
  noRests: 'none yet',
  rest: (index: number, straight: boolean) => (straight ? (index === 0 ? 'straight ahead' : 'straight again') : `stop ${index}`),
  steered: (steer: string, word: string) => `${steer} ${word}`,
  camberThere: (value: string) => `camber ${value}`,
  done: (rests: number, run: number) => `run ${run} done, ${rests} rests`,
  /** What to see to before a swing. Short: each is read with a hand on the car. */
  cautions: [
    ['Plates free', 'Both front wheels stand on turn plates, pins out.'],
    ['Front wheels locked', 'Brake pedal down and kept down with a pedal prop. A hub that rolls spoils the SAI.'],
    ['Car held', 'Parking brake on, chocks behind the rear wheels.'],
    ['Never under a jack', 'A jack lifts, it does not hold. Reach under only when the car is on stands.'],
    ['Maker first', 'Where the vehicle maker’s data say otherwise, they are right and this page is not.'],
  ] as Cautions,
};

export const plates = {
  title: 'Plate readings',
  rule: 'Zero is straight ahead. Choose the side, or type + for left and − for right.',
  field: (wheel: string, rest: string) => `Plate reading, ${wheel}, ${rest}`,
  left: 'left',
  right: 'right',
  taken: 'taken',
  submit: 'Take these readings',
  missing: (n: number) => (n === 1 ? '1 reading to go' : `${n} readings to go`),
  notANumber: 'not a number – type for example 19,5',
  sideMissing: 'left or right?',
};

export const findings = {
  title: 'Findings',
  none: 'They come from the swing.',
  run: (run: number) => `run ${run}`,
  earlier: 'Earlier runs',
  interval: glance.interval,
  intervalNote: '± holds the true angle 95 times in 100',
  twoReading: (value: string) => `two-reading check ${value}`,
  apart: (gap: string) => `${gap} apart`,
  largest: (what: string, share: string) => `Most of the ±: ${what}, ${share}.`,
  difference: 'left − right',
  shared: (correlation: string) => `correlation ${correlation}`,
  leftOut: (rests: readonly number[]) =>
    `Left out, because ${rests.length === 1 ? 'it does' : 'they do'} not fit the others: ${rests.map((rest) => `rest ${rest}`).join(', ')}. The figures are from the rest of the swing; swing once more if you can.`,
  truth: (value: string) => `true ${value}`,
  error: (value: string) => `error ${value}`,
  inside: 'inside ±',
  outside: 'outside ±',
  line: (name: string, value: string) => `${name} ${value}`,
  angle: {
    caster: { name: 'Caster', plain: 'lean of the steering axis, seen from the side' },
    sai: { name: 'SAI', plain: 'steering axis inclination: its lean, seen from behind' },
    included_angle: { name: 'Included angle', plain: 'SAI and camber added' },
    camber: { name: 'Camber', plain: 'lean of the wheel at straight ahead' },
  } satisfies Record<AngleView, { name: string; plain: string }>,
};

export const problem = {
  close: 'Close this message',
  unreached: {
    title: 'The daemon does not answer',
    detail: 'The request did not reach the daemon.',
    remedy: 'Check that hubplumb runs and that this tablet is on its network, then try again.',
  },
  noReason: {
    title: 'The daemon refused',
    detail: (status: number) => `It answered with status ${status} and gave no reason.`,
    remedy: 'Try again; if it stays, look at the output of hubplumb.',
  },
};

export const picture = {
  out: 'out',
  in: 'in',
  front: 'front',
  rear: 'rear',
  fromBehind: 'from behind',
  fromSide: 'from the side',
};

export const pair = {
  code: 'Code from the terminal',
  done: { title: 'Paired', detail: 'Press the button again.' },
};
