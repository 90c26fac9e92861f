// One kind of adjuster while it is being typed. Pure.
import { readDeg, short, type Locale } from '../format/numbers';
import type { AdjusterRecord, AdjusterWay, Corner } from '../contract/types';

export type Kind = AdjusterWay['kind'];
export const KINDS: readonly Kind[] = ['tie_rod', 'arm_shims', 'eccentric', 'contact_shim', 'strut_bolt', 'other'];

export interface AdjusterDraft {
  name: string;
  at: readonly Corner[];
  kind: Kind;
  typed: Readonly<Record<string, string>>;
  /** What no field shows is kept as it was. */
  from: AdjusterWay | null;
}

/** A field of an adjuster: a number, a list of numbers, a word or one of some choices. */
export type AdjusterField = { key: string; kind: 'number' | 'list' | 'word' } | { key: string; kind: 'choice'; choices: readonly string[] };

const number = (...keys: string[]): AdjusterField[] => keys.map((key) => ({ key, kind: 'number' }));
const choice = (key: string, ...choices: string[]): AdjusterField => ({ key, kind: 'choice', choices });
const MOVES = choice('moves', 'camber', 'caster', 'toe');

export const FIELDS: Record<Kind, readonly AdjusterField[]> = {
  tie_rod: [...number('pitch_mm', 'arm_mm'), choice('thread', 'single', 'sleeve'), choice('rod', 'behind', 'ahead')],
  arm_shims: [...number('joint_height_mm', 'bolt_spacing_mm', 'arm_mm'), choice('bracket', 'inward', 'outward'), { key: 'stock_mm', kind: 'list' }],
  eccentric: [MOVES, ...number('throw_mm', 'lever_mm', 'mark_deg')],
  contact_shim: number('plate_mm'),
  strut_bolt: number('lever_mm'),
  other: [{ key: 'unit', kind: 'word' }, MOVES, ...number('deg_per_unit')],
};

export const NEW_ADJUSTER: AdjusterDraft = { name: '', at: [], kind: 'tie_rod', typed: {}, from: null };

const text = (value: unknown, locale: Locale): string =>
  Array.isArray(value) ? value.map((one) => short(Number(one), locale)).join('; ') : typeof value === 'number' ? short(value, locale) : String(value);

export function draftOfAdjuster({ name, at, way }: AdjusterRecord, locale: Locale): AdjusterDraft {
  const known = way as unknown as Record<string, unknown>;
  const typed = Object.fromEntries(FIELDS[way.kind].flatMap(({ key }) => (known[key] == null ? [] : [[key, text(known[key], locale)]])));
  return { name, at, kind: way.kind, typed, from: way };
}

/** A list of figures: parted by semicolons or blanks, for a comma may be a decimal one. */
export function readList(typed: string): number[] | null {
  const parts = typed.split(/[;\s]+/).filter((part) => part !== '');
  const read = parts.map(readDeg);
  return read.some((one) => one === null) ? null : (read as number[]);
}

/** The record of a draft, and what is wrong with it by `place.key`. */
export function adjusterOf(draft: AdjusterDraft, place: string): { record: AdjusterRecord; wrong: string[] } {
  const wrong: string[] = [];
  const kept = draft.from?.kind === draft.kind ? { ...draft.from } : {};
  const way: Record<string, unknown> = { ...kept, kind: draft.kind };
  for (const field of FIELDS[draft.kind]) {
    const typed = (draft.typed[field.key] ?? '').trim();
    delete way[field.key];
    if (typed === '') {
      // These two have no meaning without a word.
      if (field.kind === 'choice' && field.key === 'moves') way[field.key] = field.choices[0];
      if (field.kind === 'word') wrong.push(`${place}.${field.key}`);
      continue;
    }
    const value = field.kind === 'number' ? readDeg(typed) : field.kind === 'list' ? readList(typed) : typed;
    if (value === null) wrong.push(`${place}.${field.key}`);
    else way[field.key] = value;
  }
  if (draft.name.trim() === '') wrong.push(`${place}.name`);
  if (draft.at.length === 0) wrong.push(`${place}.at`);
  return { record: { name: draft.name.trim(), at: [...draft.at], way: way as unknown as AdjusterWay }, wrong };
}
