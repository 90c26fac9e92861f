// The state of the car while it is being typed. Pure.
import { readDeg, short, type Locale } from '../format/numbers';
import type { Conditions, Optional } from '../contract/types';
import { CORNERS } from './entered';

export const FIGURES = ['tyre_kpa', 'tread_mm', 'ride_height_mm'] as const;
export type FigureGroup = (typeof FIGURES)[number];
/** Typed texts over what was kept: `tyre_kpa.front_left`, `load`, `place_c`. */
export type ConditionsDraft = Readonly<Record<string, string>>;

/** The text that stands in a field: what is typed, else what was kept. */
export function conditionText(draft: ConditionsDraft, kept: Optional<Conditions>, field: string, locale: Locale): string {
  const typed = draft[field];
  if (typed !== undefined) return typed;
  const value = field.split('.').reduce<unknown>((at, key) => (typeof at === 'object' && at !== null ? (at as Record<string, unknown>)[key] : undefined), kept);
  return typeof value === 'number' ? short(value, locale) : typeof value === 'string' ? value : '';
}

/** What was kept is written and read back at once: any way of writing does. */
const READ_BACK: Locale = 'en-GB';

export type ConditionsRead = { conditions: Conditions; wrong: [] } | { conditions: null; wrong: string[] };

/** The whole state: an entry of it replaces the one before, so nothing that was kept may be lost. */
export function conditionsOf(draft: ConditionsDraft, kept: Optional<Conditions>): ConditionsRead {
  const wrong: string[] = [];
  const figure = (field: string): number | undefined => {
    const text = conditionText(draft, kept, field, READ_BACK).trim();
    if (text === '') return undefined;
    const value = readDeg(text);
    if (value === null) wrong.push(field);
    return value ?? undefined;
  };
  const corners = (group: FigureGroup): Record<string, number> =>
    Object.fromEntries(
      CORNERS.flatMap((corner) => {
        const value = figure(`${group}.${corner}`);
        return value === undefined ? [] : [[corner, value]];
      }),
    );
  const [tyre_kpa, tread_mm, ride_height_mm] = FIGURES.map(corners);
  const place_c = figure('place_c');
  const load = conditionText(draft, kept, 'load', READ_BACK).trim();
  if (wrong.length > 0) return { conditions: null, wrong };
  return {
    conditions: { tyre_kpa: tyre_kpa!, tread_mm: tread_mm!, ride_height_mm: ride_height_mm!, ...(load === '' ? {} : { load }), ...(place_c === undefined ? {} : { place_c }) },
    wrong: [],
  };
}
