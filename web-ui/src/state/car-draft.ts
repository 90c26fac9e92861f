// A car while it is being typed: every figure as text by its path in the record. Pure.
import { readAngle } from '../format/angles';
import { readDeg, short, type Locale } from '../format/numbers';
import type { CarRecord } from '../contract/types';
import { adjusterOf, draftOfAdjuster, type AdjusterDraft } from './adjuster-draft';

export interface CarDraft {
  /** What is typed, by path, e.g. `front.track_mm`. */
  typed: Readonly<Record<string, string>>;
  adjusters: readonly AdjusterDraft[];
  /** The record it began with: what no field shows is kept as it was. */
  from: CarRecord;
}

export type FieldKind = 'text' | 'number' | 'angle' | 'choice';

export interface FieldSpec {
  path: string;
  kind: FieldKind;
}

const spec = (kind: FieldKind, ...paths: string[]): FieldSpec[] => paths.map((path) => ({ path, kind }));
const axle = (name: string): FieldSpec[] => [
  ...spec('number', `${name}.track_mm`, `${name}.rim_flange_mm`, `${name}.tyre_mm`, `${name}.loaded_radius_mm`),
  ...spec('choice', `${name}.suspension`),
];

/** What is known of the car, by group. */
export const KNOWN: Record<'about' | 'front' | 'rear' | 'steering', readonly FieldSpec[]> = {
  about: [...spec('text', 'name', 'source', 'notes'), ...spec('number', 'wheelbase_mm')],
  front: axle('front'),
  rear: axle('rear'),
  steering: spec('number', 'steering.ratio', 'steering.axis_spacing_mm', 'steering.axis_inboard_mm', 'steering.axis_behind_mm'),
};

export const CORNER_NAMES = ['front_left', 'front_right', 'rear_left', 'rear_right'] as const;

/** The state in which the targets hold. */
export const HOLDS: readonly FieldSpec[] = [
  ...spec('text', 'holds.load', 'holds.ride_height_from'),
  ...spec('number', 'holds.ride_height_within_mm'),
  ...CORNER_NAMES.flatMap((corner) => spec('number', `holds.ride_height_mm.${corner}`, `holds.tyre_kpa.${corner}`)),
];

/** Rows of targets: each has target, low and high; some have a most difference of the sides. */
export interface TargetRow {
  path: string;
  kind: 'angle' | 'number';
  difference: string | null;
}

const sided = (name: string, angle: string): TargetRow => ({
  path: `targets.${name}.${angle}`,
  kind: 'angle',
  difference: ['camber_deg', 'caster_deg', 'sai_deg', 'included_angle_deg'].includes(angle) ? `targets.${name}.most_difference.${angle}` : null,
});
const car = (path: string, kind: TargetRow['kind']): TargetRow => ({ path: `targets.${path}`, kind, difference: null });
const ANGLES = ['camber_deg', 'caster_deg', 'sai_deg', 'included_angle_deg', 'toe_deg', 'total_toe_deg'];

/** An unsteered rear axle has neither caster nor SAI. */
export const TARGETS: Record<'front' | 'rear' | 'car', readonly TargetRow[]> = {
  front: ANGLES.map((angle) => sided('front', angle)),
  rear: ['camber_deg', 'toe_deg', 'total_toe_deg'].map((angle) => sided('rear', angle)),
  car: [car('thrust_deg', 'angle'), car('steering_wheel_deg', 'angle'), car('setback_mm', 'number'), car('turns.outer_deg', 'angle')],
};

export const LIMITS = ['target', 'low', 'high'] as const;
export const TURN_INNER = 'targets.turns.inner_deg';

const FIELDS: readonly FieldSpec[] = [
  ...Object.values(KNOWN).flat(),
  ...HOLDS,
  ...Object.values(TARGETS)
    .flat()
    .flatMap(({ path, kind, difference }) => [
      ...LIMITS.map((limit) => ({ path: `${path}.${limit}`, kind })),
      ...(difference === null ? [] : [{ path: difference, kind }]),
    ]),
  { path: TURN_INNER, kind: 'angle' },
];

type Tree = { [key: string]: unknown };

function get(tree: Tree, path: string): unknown {
  return path.split('.').reduce<unknown>((at, key) => (typeof at === 'object' && at !== null ? (at as Tree)[key] : undefined), tree);
}

/** Puts a value at its path; without one the key goes, and every group that is empty then. */
function put(tree: Tree, [key, ...rest]: string[], value: unknown): void {
  if (key === undefined) return;
  if (rest.length === 0) {
    if (value === undefined) delete tree[key];
    else tree[key] = value;
    return;
  }
  const below = { ...((tree[key] as Tree | undefined) ?? {}) };
  put(below, rest, value);
  if (Object.keys(below).length === 0) delete tree[key];
  else tree[key] = below;
}

export function draftOfCar(record: CarRecord, locale: Locale): CarDraft {
  const typed: Record<string, string> = {};
  for (const { path } of FIELDS) {
    const value = get(record as Tree, path);
    if (value !== undefined && value !== null) typed[path] = typeof value === 'number' ? short(value, locale) : String(value);
  }
  return { typed, adjusters: (record.adjuster ?? []).map((one) => draftOfAdjuster(one, locale)), from: record };
}

export const EMPTY_CAR: CarDraft = { typed: {}, adjusters: [], from: { name: '' } };

/** What a typed text comes to; undefined is "not known", null is "no such figure". */
export function readField(kind: FieldKind, typed: string): string | number | undefined | null {
  const text = typed.trim();
  if (text === '') return undefined;
  if (kind === 'text' || kind === 'choice') return text;
  return kind === 'angle' ? readAngle(text) : readDeg(text);
}

export type CarRead = { record: CarRecord; wrong: [] } | { record: null; wrong: string[] };

/** The record of a draft, or the paths of what is no figure. The daemon judges the rest. */
export function carOf(draft: CarDraft): CarRead {
  const tree = structuredClone(draft.from) as unknown as Tree;
  const wrong: string[] = [];
  for (const { path, kind } of FIELDS) {
    const value = readField(kind, draft.typed[path] ?? '');
    if (value === null) wrong.push(path);
    else put(tree, path.split('.'), value);
  }
  tree['name'] = (draft.typed['name'] ?? '').trim();
  if (tree['name'] === '') wrong.push('name');
  const adjusters = draft.adjusters.map((adjuster, nth) => adjusterOf(adjuster, `adjuster.${nth}`));
  wrong.push(...adjusters.flatMap((read) => read.wrong));
  if (adjusters.length === 0) delete tree['adjuster'];
  else tree['adjuster'] = adjusters.map((read) => read.record);
  return wrong.length > 0 ? { record: null, wrong } : { record: tree as unknown as CarRecord, wrong: [] };
}
