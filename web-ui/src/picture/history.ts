// One quantity at one place over the visits of a car, as a small picture. `_box` as in plumb.ts.
import type { CarHistoryView, Limits, Optional, PastFigureView, Place, Quantity, Unit } from '../contract/types';
import { markStep } from './curve';

export const HISTORY_BOX = { width: 420, height: 190, left: 62, right: 14, top: 12, bottom: 34 } as const;

/** All that was found of one quantity at one place. */
export interface Series {
  quantity: Quantity;
  name: string;
  place: Place;
  placeWords: string;
  unit: Unit;
  /** One entry a visit, oldest first; null where it was not measured. */
  visits: { id: number; began_at: string; before: PastFigureView | null; after: PastFigureView | null }[];
}

/** Series in the order in which quantities and places are told. */
export function seriesOf({ visits }: CarHistoryView): Series[] {
  const all = new Map<string, Series>();
  visits.forEach((visit, nth) => {
    for (const { quantity, name, place, place_words, unit, before, after } of visit.findings) {
      const key = `${quantity} ${place}`;
      let series = all.get(key);
      if (!series) {
        series = { quantity, name, place, placeWords: place_words, unit, visits: visits.map(({ id, began_at }) => ({ id, began_at, before: null, after: null })) };
        all.set(key, series);
      }
      const here = series.visits[nth];
      if (here) Object.assign(here, { before: before ?? null, after: after ?? null });
    }
  });
  return [...all.values()];
}

export interface HistoryMark {
  x_box: number;
  y_box: number;
  low_box: number;
  high_box: number;
}

export interface HistoryPicture {
  visits: { x_box: number; began_at: string; before: HistoryMark | null; after: HistoryMark | null; low_box: number | null; high_box: number | null; half_box: number }[];
  up: { at_box: number; value: number }[];
}

const numbers = (values: readonly Optional<number>[]): number[] => values.filter((value): value is number => value != null && Number.isFinite(value));

/** The limits of a visit: those of its last figure. */
const limitsOf = ({ before, after }: Series['visits'][number]): Optional<Limits> => after?.limits ?? before?.limits;

/** The picture; null where nothing was found at all. */
export function historyPicture({ visits }: Series): HistoryPicture | null {
  const figures = visits.flatMap(({ before, after }) => [before, after]).filter((figure): figure is PastFigureView => figure !== null);
  if (figures.length === 0) return null;
  const ups = [...figures.flatMap(({ value, expanded }) => [value - expanded, value + expanded]), ...visits.flatMap((visit) => numbers([limitsOf(visit)?.low, limitsOf(visit)?.high]))];
  const [least, most] = [Math.min(...ups), Math.max(...ups)];
  const room = Math.max(most - least, 1e-6) * 0.06;
  const [low, high] = [least - room, most + room];
  const { width, height, left, right, top, bottom } = HISTORY_BOX;
  const y = (value: number): number => height - bottom - ((value - low) / (high - low)) * (height - top - bottom);
  const column = (width - left - right) / visits.length;
  const half = Math.min(column * 0.42, 60);
  const mark = (figure: PastFigureView | null, x_box: number): HistoryMark | null =>
    figure && { x_box, y_box: y(figure.value), low_box: y(figure.value - figure.expanded), high_box: y(figure.value + figure.expanded) };
  const step = markStep(high - low, 4);
  const first = Math.ceil(low / step);
  return {
    visits: visits.map((visit, nth) => {
      const x_box = left + column * (nth + 0.5);
      const limits = limitsOf(visit);
      return {
        x_box,
        began_at: visit.began_at,
        before: mark(visit.before, x_box - half * 0.35),
        after: mark(visit.after, x_box + half * 0.35),
        low_box: limits?.low == null ? null : y(limits.low),
        high_box: limits?.high == null ? null : y(limits.high),
        half_box: half,
      };
    }),
    up: Array.from({ length: Math.max(0, Math.floor(high / step) - first + 1) }, (_, nth) => {
      const value = Number(((first + nth) * step).toPrecision(12));
      return { at_box: y(value), value };
    }),
  };
}
