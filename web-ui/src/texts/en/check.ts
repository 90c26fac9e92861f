// Texts about guided checks, in English. What the daemon words itself is shown as it comes.
import type { AxleName, BarTurnName, CheckKindView, CheckPhaseView, GripName, SteerByName, SteeringPosition } from '../../contract/types';
import type { Cautions } from '../shape';

const MAKER: readonly [string, string] = ['Maker first', 'Where the vehicle maker’s data say otherwise, they are right and this page is not.'];
const RAISED: Cautions = [
  ['On a stand', 'Lift at the maker’s point, on hard level ground, the other wheels chocked; a stand of the right rating under the car before anybody rocks a wheel. A jack lifts, it does not hold.'],
  ['Never under a jack', 'No part of you under a car that stands on a jack alone.'],
];
const PLATES: Cautions = [
  ['Plates free', 'Both front wheels on turn plates or greased sheets, pins out, nothing at its stop.'],
  ['Car held', 'Parking brake on, chocks at the rear wheels; nobody in front of or behind the car.'],
];

export const check = {
  title: 'Checks',
  line: 'play, locks, toe-out on turns, camber, ride height',
  which: 'Which check',
  wheel: 'Which wheel',
  grip: 'Where the hands are',
  turn: 'How the bar is turned between two takes',
  by: 'Where the angles come from',
  before: 'Before you start',
  start: 'Start this check',
  ofSwing: 'Work it out of the last swing',
  finish: 'Finish with what is there',
  cancel: 'Give up',
  taken: (taken: number, wanted: number | null) => (wanted === null ? `${taken} taken` : `${taken} of ${wanted} taken`),
  held: (held: string, needed: string) => `${held} of ${needed} s`,
  left: (time: string) => `${time} s`,
  take: 'Take this figure',
  step: 'One step on',
  steer: 'Steer angle',
  mostly: (cause: string, share: string) => `Most of the ±: ${cause}, ${share}.`,
  results: 'What it found',
  rideHeight: 'Ride height you want it at',
  rideHeightEmpty: 'the first one',
  noBoard: 'Needs a live board there.',
  axle: 'Which axle',
  toLeft: 'Arrow to the left',
  /** Name of a check, and what it tells. */
  kinds: {
    play: ['Play', 'A wheel is rocked by hand; its board feels how far it gives.'],
    centring: ['Lock to lock', 'Steer to both locks and back: is the steering centred?'],
    toe_out_on_turns: ['Toe-out on turns', 'How much less the outer wheel turns than the inner one.'],
    camber_on_hub: ['Camber by the hub board', 'One still stop, or some with the car bounced between them.'],
    camber_on_bar: ['Camber by a bar', 'A board on a straight bar across the rim, turned end for end: the bar’s own error drops out.'],
    carried_toe: ['Carried toe', 'The body’s board, in a block with parallel faces, is carried from rim to rim and back.'],
    height_sweep: ['Ride height', 'Camber and toe at several ride heights: how they move with the body.'],
  } as Record<CheckKindView, readonly [string, string]>,
  phase: {
    idle: 'Not running',
    await_still: 'Let it rest',
    hold: 'Hold still',
    taken: 'Taken – go on',
    moving: 'Moving',
    rock: 'Rock it',
    await_figure: 'Type the figure',
    done: 'Done',
    refused: 'Refused',
  } satisfies Record<CheckPhaseView, string>,
  edge: 'Straight-edge as a third place',
  edges: { no: 'no', yes: 'yes' },
  edgeNext: 'Straight-edge next',
  axles: { front: 'front', rear: 'rear' } satisfies Record<AxleName, string>,
  grips: { top_bottom: 'top and bottom', front_rear: 'in front and behind' } satisfies Record<GripName, string>,
  sources: { gyro: 'gyro', plates: 'turn plates, typed', steering_wheel: 'steering wheel, typed' } satisfies Record<SteerByName, string>,
  turns: { other_face: 'other face to the rim', other_end: 'other end up', both: 'both', any: 'anyhow' } satisfies Record<BarTurnName, string>,
  positions: { straight: 'straight ahead', left: 'turned to the left', right: 'turned to the right' } satisfies Record<SteeringPosition, string>,
  field: {
    front_left: ['front left plate, + left', '°'],
    front_right: ['front right plate, + left', '°'],
    steering_wheel: ['steering wheel, + left', '°'],
    height: ['ride height now', 'mm'],
    toe: ['toe at this height, + in, if measured', '°'],
  } as Record<string, readonly [string, string]>,
  /** What to see to before each check. */
  cautions: {
    play: [...RAISED, ['Worn parts', 'Play in joints or bearings is a danger on the road: have it seen to, by licensed practice where local rules ask for it, before any angle is set.'], MAKER],
    centring: [...PLATES, ['Gently to the lock', 'Do not force the steering against its stops; with power steering, do not hold it there.'], ['Hands clear', 'No hand between wheel and arch while somebody steers.'], MAKER],
    toe_out_on_turns: [...PLATES, ['Hands clear', 'No hand between wheel and arch while somebody steers.'], MAKER],
    camber_on_hub: [['Car settled', 'On its wheels, bounced, at rest; nobody in it or leaning on it.'], ['Hot brakes', 'Hubs and discs burn after a drive.'], MAKER],
    camber_on_bar: [['Bar held', 'Hold the bar with both hands; it must not fall on feet or paint.'], ['Car settled', 'On its wheels, bounced, at rest.'], MAKER],
    carried_toe: [['Car held', 'On its wheels, parking brake on, chocked; steering straight and fixed.'], ['Way free', 'Round the car, never under it.'], MAKER],
    height_sweep: [...RAISED, ['Nothing under it', 'Keep hands and feet from under the body while its height is changed.'], ['Springs', 'A compressed spring can kill. Where springs must be taken out, that is work for who is trained for it.'], MAKER],
  } as Record<CheckKindView, Cautions>,
};
