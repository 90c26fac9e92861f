// What the page makes of floor and run-outs. Pure: nothing is measured anew.
import { readDeg } from '../format/numbers';
import type { DifferenceView, AngleView, FloorHeights, FloorView, LineName, MountView, RunOutPhase, RunOutView, StateView } from '../contract/types';
import type { Deed } from './steps';

const DEEDS: Record<RunOutPhase, Deed> = {
  idle: 'idle',
  await_still: 'rest',
  hold: 'hold',
  taken: 'move',
  turning: 'move',
  done: 'done',
  refused: 'refused',
};

export function runOutDeed(phase: RunOutPhase): Deed {
  return DEEDS[phase];
}

/** Run-outs under way: they take the whole screen. */
export function running(state: StateView): RunOutView[] {
  return state.levelling.run_outs.filter(({ phase }) => phase !== 'idle' && phase !== 'done' && phase !== 'refused');
}

/** Wheels of which nobody knows how their board sits: they have no camber before they were turned. */
export function unknownWheels(state: StateView): MountView[] {
  return state.levelling.run_outs.filter(({ sits_by }) => sits_by === 'unknown').map(({ mount }) => mount);
}

/** Left less right as the daemon works it out, with what both share. */
export function differenceOf(state: Pick<StateView, 'differences'>, run: number, angle: AngleView): DifferenceView | undefined {
  return state.differences.findLast((difference) => difference.run === run && difference.angle === angle);
}

/** One line across and one along are the least, so they come first. */
const LINES_IN_TURN: readonly LineName[] = ['front', 'left', 'rear', 'right'];

/** The line to be taken next: the one that is half taken, else the first that is missing. */
export function nextLine({ half, lines }: Pick<FloorView, 'half' | 'lines'>): LineName | null {
  return half ?? LINES_IN_TURN.find((line) => !lines.some((one) => one.line === line)) ?? null;
}

export const HEIGHTS = ['front_left_mm', 'front_right_mm', 'rear_left_mm', 'rear_right_mm'] as const;
export const LENGTHS = ['track_front_mm', 'track_rear_mm', 'wheelbase_mm', 'standard_mm'] as const;
export type HeightField = (typeof HEIGHTS)[number] | (typeof LENGTHS)[number];
export type HeightDraft = Partial<Record<HeightField, string>>;

/** The survey that the typed figures come to; null while one is missing or no number. */
export function heightsOf(draft: HeightDraft, reads: NonNullable<FloorHeights['reads']>): FloorHeights | null {
  const number = (field: HeightField): number | null => readDeg(draft[field] ?? '');
  const all = [...HEIGHTS, ...LENGTHS].map((field) => [field, number(field)] as const);
  if (all.some(([, value]) => value === null)) return null;
  return { reads, ...(Object.fromEntries(all) as Record<HeightField, number>) };
}
