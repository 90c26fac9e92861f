// An invented car over three visits.
import type { CarHistoryView, PastVisitView, Place, Quantity, VerdictWord } from '../src/contract/types';

const NAME: Partial<Record<Quantity, string>> = { camber: 'Camber', caster: 'Caster', total_toe: 'Total toe' };

type Row = [Quantity, Place, number | null, number | null, number, [number, number]];

function visit(id: number, began_at: string, rows: readonly Row[]): PastVisitView {
  return {
    id,
    began_at,
    stage: 'closed',
    findings: rows.map(([quantity, place, before, after, expanded, [low, high]]) => {
      const figure = (value: number | null) => {
        if (value === null) return null;
        const verdict: VerdictWord = value - expanded >= low && value + expanded <= high ? 'inside' : value + expanded < low || value - expanded > high ? 'outside' : 'undecided';
        return { value, expanded, sense: '', limits: { low, high, target: (low + high) / 2 }, verdict };
      };
      return { quantity, name: NAME[quantity] ?? quantity, place, place_words: place.replace('_', ' '), unit: 'deg', before: figure(before), after: figure(after) };
    }),
  };
}

export const HISTORY: CarHistoryView = {
  car_id: 1,
  car: 'Wicket 1300',
  older: 0,
  visits: [
    visit(1, '2024-09-14T09:00:00Z', [
      ['camber', 'front_left', -0.41, -0.5, 0.07, [-1, 0]],
      ['camber', 'front_right', -0.28, null, 0.07, [-1, 0]],
      ['caster', 'front_left', 3.1, null, 0.16, [3, 5]],
    ]),
    visit(2, '2025-04-01T10:00:00Z', [
      ['camber', 'front_left', -1.32, -0.55, 0.08, [-1, 0]],
      ['camber', 'front_right', -0.06, -0.48, 0.08, [-1, 0]],
      ['caster', 'front_left', 2.7, 3.9, 0.12, [3, 5]],
    ]),
    visit(3, '2026-05-30T13:20:00Z', [
      ['camber', 'front_left', -0.6, null, 0.06, [-0.9, -0.1]],
      ['total_toe', 'front', 0.31, 0.12, 0.04, [0, 0.2]],
    ]),
  ],
};
