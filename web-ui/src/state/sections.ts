// Parts of the daemon's state for what draws them, so that nothing is drawn anew for what it does not show.
import { computed, type ReadonlySignal } from '@preact/signals';
import type { CheckView, StateView } from '../contract/types';
import { sheets } from './findings';
import { daemon } from './index';

/** The named sections together; the same object as long as none of them changed. Null before the first snapshot. */
function following<Name extends keyof StateView>(...names: readonly Name[]): ReadonlySignal<Pick<StateView, Name> | null> {
  let kept: StateView | null = null;
  return computed(() => {
    const now = daemon.value;
    const before = kept;
    if (now === null || before === null || names.some((name) => now[name] !== before[name])) kept = now;
    return kept;
  });
}

export const boardsNow = following('boards');
export const scenarioNow = following('scenario');
export const wheelsNow = following('wheels');
export const levellingNow = following('levelling');
export const levellingAndBoards = following('levelling', 'boards');
export const swingNow = following('swing');
export const swingToStart = following('swing', 'boards', 'levelling');
export const findingsNow = following('findings', 'differences', 'scenario', 'swing');
export const checksNow = following('check', 'checked');
export const checksToStart = following('check', 'checked', 'boards', 'swing');

/** Has the daemon told anything yet? */
export const told = computed(() => daemon.value !== null);

/** Is a board in trouble, or none there at all? */
export const boardsTroubled = computed(() => {
  const boards = boardsNow.value?.boards ?? [];
  return boards.length === 0 || boards.some((board) => board.trouble != null);
});

/** A daemon of before has no checks. */
export const hasChecks = computed(() => checksNow.value !== null && (checksNow.value.check as CheckView | undefined) !== undefined);

const newest = computed(() => findingsNow.value?.findings ?? []);

/** What the newest swing found. */
export const newestSheet = computed(() => sheets(newest.value)[0]);
