// A car over its visits, asked for when somebody opens it.
import { signal } from '@preact/signals';
import { fetchHistory } from '../contract/visits';
import type { CarHistoryView, ProblemView } from '../contract/types';
import { panel } from './visit';

/** What was told of the car that is open; null until it came. */
export const history = signal<CarHistoryView | null>(null);
export const historyRefused = signal<ProblemView | null>(null);

export async function openHistory(id: number): Promise<void> {
  history.value = null;
  historyRefused.value = null;
  panel.value = { kind: 'history', id };
  const answer = await fetchHistory(id);
  const shown = panel.peek();
  // Another one was opened meanwhile.
  if (shown?.kind !== 'history' || shown.id !== id) return;
  if (answer.ok) history.value = answer.value;
  else historyRefused.value = answer.problem;
}
