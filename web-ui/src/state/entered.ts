// Toe, setback and offsets while they are being typed. The text goes to the daemon as it is
// typed, units and all; here it is only seen whether all of it is there. Pure.
import type { Corner, EnteredFigures, SpotPlace, StringDistances } from '../contract/types';

export type Way = EnteredFigures['way'];
export const WAYS: readonly Way[] = ['strings', 'gap', 'spot', 'slip', 'setback'];
export const CORNERS: readonly Corner[] = ['front_left', 'front_right', 'rear_left', 'rear_right'];

/** What is typed, by field; the choices beside. */
export interface EnteredDraft {
  typed: Readonly<Record<string, string>>;
  front: boolean;
  corner: Corner;
  /** Gap: each pair between the same two marks, the car rolled on half a turn in between. */
  carried_round: boolean;
}

export const EMPTY: EnteredDraft = { typed: {}, front: true, corner: 'front_left', carried_round: false };

export type Entered = { kind: 'ready'; figures: EnteredFigures } | { kind: 'missing'; fields: string[] };

export const stringField = (corner: Corner, name: keyof Omit<StringDistances, 'corner'>): string => `${corner}.${name}`;

/** The figures of a draft, or the fields that are still empty. */
export function enteredOf(way: Way, draft: EnteredDraft): Entered {
  const text = (field: string): string => (draft.typed[field] ?? '').trim();
  const missing: string[] = [];
  const need = (field: string): string => {
    if (text(field) === '') missing.push(field);
    return text(field);
  };
  const ifTyped = <K extends string>(key: K, field: string): Partial<Record<K, string>> =>
    text(field) === '' ? {} : ({ [key]: text(field) } as Record<K, string>);
  const standard = ifTyped('reading_standard', 'reading_standard');
  const settled = (figures: EnteredFigures): Entered => (missing.length > 0 ? { kind: 'missing', fields: missing } : { kind: 'ready', figures });
  const { front, corner } = draft;
  switch (way) {
    case 'strings': {
      const begun = CORNERS.filter((one) => STRING_FIELDS.some((name) => text(stringField(one, name)) !== ''));
      // Toe at strings needs both wheels of an axle.
      const asked = CORNERS.filter((one) => begun.some((other) => axleOf(other) === axleOf(one)));
      const wheels = (asked.length > 0 ? asked : CORNERS.slice(0, 2)).map((one) => wheelOf(one, text, need));
      return settled({
        way,
        wheels,
        ...ifTyped('front_diameter', 'front_diameter'),
        ...ifTyped('rear_diameter', 'rear_diameter'),
        ...ifTyped('direction_standard', 'direction_standard'),
        ...ifTyped('run_out', 'run_out'),
        ...standard,
      });
    }
    case 'gap': {
      const pairs = [{ ahead: need('ahead'), behind: need('behind') }];
      const second = text('turned_ahead') !== '' || text('turned_behind') !== '';
      if (second) pairs.push({ ahead: need('turned_ahead'), behind: need('turned_behind') });
      const { carried_round } = draft;
      return settled({ way, front, pairs, carried_round, ...ifTyped('diameter', 'diameter'), ...ifTyped('below_hub', 'below_hub'), ...ifTyped('run_out', 'run_out'), ...standard });
    }
    case 'spot': {
      const distance = need('distance');
      const place = (forward: string, up: string): SpotPlace => ({ forward: need(forward), ...ifTyped('up', up) });
      const spot = place('forward', 'up');
      const turned = text('turned_forward') !== '' || text('turned_up') !== '' ? { half_turned: place('turned_forward', 'turned_up') } : {};
      return settled({ way, corner, distance, spot, ...turned, ...ifTyped('beam_standard', 'beam_standard'), ...standard });
    }
    case 'slip': {
      need('reading');
      return settled({ way, corner, readings: ['reading', 'reading_2', 'reading_3'].map(text).filter((reading) => reading !== '') });
    }
    case 'setback':
      return settled({ way, front, left: need('left'), right: need('right'), ...standard });
  }
}

const axleOf = (corner: Corner): string => corner.slice(0, corner.indexOf('_'));

const STRING_FIELDS = ['ahead', 'behind', 'turned_ahead', 'turned_behind', 'hub'] as const;

function wheelOf(corner: Corner, text: (field: string) => string, need: (field: string) => string): StringDistances {
  const at = (name: (typeof STRING_FIELDS)[number]): string => stringField(corner, name);
  const wheel: StringDistances = { corner, ahead: need(at('ahead')), behind: need(at('behind')) };
  if (text(at('turned_ahead')) !== '' || text(at('turned_behind')) !== '') {
    wheel.turned_ahead = need(at('turned_ahead'));
    wheel.turned_behind = need(at('turned_behind'));
  }
  if (text(at('hub')) !== '') wheel.hub = text(at('hub'));
  return wheel;
}

/**
 * The fields a refusal speaks of: those whose text it quotes, where the quoted text stands in
 * that field. Empty when it cannot be told.
 */
export function fieldsBlamed(detail: string, typed: Readonly<Record<string, string>>): string[] {
  const quoted = [...detail.matchAll(/["“'`‘](.+?)["”'`’](?![\w])/g)].map(([, text]) => text?.trim());
  return Object.entries(typed)
    .filter(([, text]) => text.trim() !== '' && quoted.includes(text.trim()))
    .map(([field]) => field);
}
