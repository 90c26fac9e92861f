// Texts about figures that a person measures and types, in English.
import type { Way } from '../state/entered';

export const entered = {
  title: 'Toe and setback by hand',
  line: 'by string, gap, light spot, slip plate or tape',
  about: 'Measure at hub height, wheels straight ahead, the car settled. Units may be typed: 2,5 or 2.5 mm or 3/32 in; a bare figure is millimetres.',
  take: 'Take these figures',
  missing: 'still empty',
  taken: 'Taken: the findings stand in the table.',
  axle: 'axle',
  front: 'front axle',
  rear: 'rear axle',
  wheel: 'wheel',
  halfTurn: 'After rolling the car half a wheel turn, if you can: takes run-out away',
  carried: 'Each pair between the same two marks, the car rolled on half a turn',
  usual: 'usual',
  unknown: 'missing',
  caveats: 'Heed',
  leave: 'Both wheels of an axle are needed; an axle that was not measured stays empty. With all four hubs, tracks and wheelbase the strings need not be parallel.',
};

export const WAY: Record<Way, string> = {
  strings: 'Strings',
  gap: 'Gap ahead and behind',
  spot: 'Light spot',
  slip: 'Slip plate',
  setback: 'Setback',
};

/** What is measured, in a sentence or two. */
export const WAY_SAYS: Record<Way, string> = {
  strings: 'Two strings at hub height along both sides, parallel to the car. At each wheel measure from the string to the rim flange, ahead of the hub and behind it.',
  gap: 'At one axle measure between the two wheels, from flange to flange at hub height: ahead of the axle, then behind it.',
  spot: 'A level beam, square to the car, falls on a mirror on the wheel and comes back to its screen. Measure how far from where it left the spot comes back, + towards the front of the car.',
  slip: 'Drive one wheel slowly and straight over a plate that can slip sideways and read it; in m per km unless you type ft/mile. + for toe-in.',
  setback: 'Stretch a line across the car at a right angle to its centreline, behind the axle. Measure from it forward to each wheel centre.',
};

export const CAVEATS: Record<Way, readonly string[]> = {
  strings: [
    'Toe of each wheel is only as good as the strings are parallel to the car: measure each end of each string to the same hubs, and again at the end.',
    'Different tracks front and rear put the strings at different distances; what counts is ahead against behind.',
  ],
  gap: ['This gives total toe alone: it cannot tell the left wheel from the right one.', 'Tape sags and bends round a sump: use a stiff bar where you can.'],
  spot: ['Never look into a laser; mind who stands where the spot may go.', 'The seat of the mirror turns with the wheel: the second figure after half a turn takes it away.'],
  slip: ['This shows drive-over slip, not toe at rest: camber, speed and tyre go into it.', 'Nobody in front of or behind a car that is driven.'],
  setback: ['Where the axles differ in track or the line is not square to the car, setback is wrong by as much.'],
};

export const FIELD: Record<string, string> = {
  front_diameter: 'diameter you measure at, front',
  rear_diameter: 'diameter you measure at, rear',
  diameter: 'diameter you measure at',
  ahead: 'ahead of the hub',
  behind: 'behind the hub',
  turned_ahead: 'turned: ahead',
  turned_behind: 'turned: behind',
  hub: 'to the hub’s middle',
  distance: 'mirror to screen',
  forward: 'spot, + to the front',
  up: 'spot, + up',
  turned_forward: 'turned: + to the front',
  turned_up: 'turned: + up',
  reading: 'reading',
  reading_2: 'second reading',
  reading_3: 'third reading',
  left: 'line to the left wheel centre',
  right: 'line to the right wheel centre',
  below_hub: 'how far below the hubs',
  reading_standard: 'one reading good to ±',
  direction_standard: 'strings parallel to ±, e.g. 0.05°',
  beam_standard: 'beam square to ±, e.g. 0.1°',
  run_out: 'run-out of the rim, least to most',
};

/** Where the same field is called otherwise. */
export const NAMES: Partial<Record<Way, Record<string, string>>> = {
  gap: { ahead: 'ahead of the axle', behind: 'behind the axle', turned_ahead: 'second pair: ahead', turned_behind: 'second pair: behind' },
};

export const drawing: Record<Way, string> = {
  strings: 'Seen from above: a string beside the wheels, distances a ahead of and b behind each hub',
  gap: 'Seen from above: two wheels of one axle, gap a ahead of and b behind the axle',
  spot: 'Seen from above: a beam falls on a mirror on the wheel and comes back beside where it left',
  slip: 'Seen from above: a wheel on a plate that slips sideways',
  setback: 'Seen from above: a line across the car behind the axle, distances to the left and right wheel centre',
};

export const picture = { ahead: 'ahead', behind: 'behind', string: 'string', line: 'line across', scale: 'screen', mirror: 'mirror', plate: 'plate', front: '↑ front', left: 'left', right: 'right', distance: 'distance', spot: 'spot' };
