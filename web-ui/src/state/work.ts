// The way from where an angle stands to where it should be. Pure.
import { readDeg } from '../format/numbers';
import type { Corner, Limits, Optional, Place, Quantity, VisitView, WheelView, WorkStepView } from '../contract/types';

/** Which way to go: the sign of the change. */
export type Toward = 'plus' | 'minus';

export type Way =
  /** Nearer to the aim than can be told apart. */
  | { kind: 'there' }
  /** Within the limits, the uncertainty included; what is left may be left. */
  | { kind: 'enough'; toward: Toward; size: number }
  | { kind: 'go'; toward: Toward; size: number };

/** Where an angle stands against its aim. `value`, `expanded`, `aim` and the limits are in one unit. */
export function wayToGo(value: number, expanded: number, aim: number, limits: Optional<Limits> = null): Way {
  const way = aim - value;
  if (Math.abs(way) <= expanded) return { kind: 'there' };
  const toward: Toward = way > 0 ? 'plus' : 'minus';
  const size = Math.abs(way);
  const { low, high } = limits ?? {};
  const bounded = low != null || high != null;
  const within = (low == null || value - expanded >= low) && (high == null || value + expanded <= high);
  return { kind: bounded && within ? 'enough' : 'go', toward, size };
}

/** The limits of a step: those of the newest finding of its quantity at its place. */
export function limitsOf(visit: VisitView, step: Pick<WorkStepView, 'quantity' | 'place'>): Optional<Limits> {
  return visit.findings.findLast(({ quantity, place }) => quantity === step.quantity && place === step.place)?.limits;
}

const CORNERS: readonly Corner[] = ['front_left', 'front_right', 'rear_left', 'rear_right'];

export const isCorner = (place: Place): place is Corner => (CORNERS as readonly Place[]).includes(place);

/** The wheel whose live value a step follows: camber alone is live. */
export function liveWheel(wheels: readonly WheelView[], quantity: Quantity, place: Place): WheelView | undefined {
  return quantity === 'camber' ? wheels.find(({ mount }) => mount === place) : undefined;
}

/** Older than this, a live value is old. */
const LIVE_S = 1.5;

/** A value of now, or of how long ago. */
export interface Aged {
  value: number;
  expanded: number;
  sense: string;
  age_s: number;
  live: boolean;
}

/** The camber of a wheel and how old it is; null where it has none. `isOld` says that the daemon is gone. */
export function agedCamber({ camber }: Pick<WheelView, 'camber'>, now_us: number, isOld: boolean): Aged | null {
  if (camber.status !== 'known') return null;
  const { value_deg, expanded_deg, sense, at_us } = camber;
  const age_s = Math.max(0, (now_us - at_us) / 1e6);
  return { value: value_deg, expanded: expanded_deg, sense, age_s, live: age_s < LIVE_S && !isOld };
}

/** Corners at which a step's adjuster can be moved. */
export function cornersOf(visit: VisitView, step: Pick<WorkStepView, 'adjuster' | 'place'>): Corner[] {
  if (isCorner(step.place)) return [step.place];
  const known = visit.car.adjuster?.find(({ name }) => name === step.adjuster)?.at;
  const there = known ?? CORNERS;
  if (step.place === 'front' || step.place === 'rear') return there.filter((corner) => corner.startsWith(step.place));
  return [...there];
}

/** What an adjuster is counted in, and how many figures a move of it has. */
export interface AmountAsked {
  unit: string;
  bolts: 1 | 2;
}

export function amountOf(visit: VisitView, adjuster: string): AmountAsked {
  const way = visit.car.adjuster?.find(({ name }) => name === adjuster)?.way;
  switch (way?.kind) {
    case 'tie_rod':
      return { unit: 'turns', bolts: 1 };
    case 'arm_shims':
      return { unit: 'mm', bolts: 2 };
    case 'eccentric':
    case 'contact_shim':
      return { unit: '°', bolts: 1 };
    case 'strut_bolt':
      return { unit: 'mm', bolts: 1 };
    case 'other':
      return { unit: way.unit, bolts: 1 };
    default:
      return { unit: '', bolts: 1 };
  }
}

/** Cautions that every step has: told once above them all; beside a step stand its own. */
export function commonCautions(steps: readonly Pick<WorkStepView, 'cautions'>[]): string[] {
  const [first, ...others] = steps;
  if (first === undefined || others.length === 0) return [];
  return first.cautions.filter((caution) => others.every(({ cautions }) => cautions.includes(caution)));
}

/** What was typed for each bolt. With two of them an empty one was left alone, once the other has a figure. */
export function amountsOf(typed: readonly string[], bolts: AmountAsked['bolts']): (number | null)[] {
  const texts = Array.from({ length: bolts }, (_, nth) => (typed[nth] ?? '').trim());
  return texts.map((text) => (text === '' && texts.some((other) => other !== '') ? 0 : readDeg(text)));
}
