// How changes join the state. Pure, so that any order of messages can be tried in a test.
import type { ChangeView, StateView } from './types';

/** The state with one change laid over it; sections the change does not carry stay as they were. */
export function withChange(state: StateView, change: ChangeView): StateView {
  return {
    ...state,
    serial: change.serial,
    now_us: change.now_us,
    boards: change.boards ?? state.boards,
    wheels: change.wheels ?? state.wheels,
    swing: change.swing ?? state.swing,
    findings: change.findings ?? state.findings,
    differences: change.differences ?? state.differences,
    curves: change.curves ?? state.curves,
    levelling: change.levelling ?? state.levelling,
    visit: change.visit ?? state.visit,
    check: change.check ?? state.check,
    checked: change.checked ?? state.checked,
    setup: change.setup ?? state.setup,
    publishing: change.publishing ?? state.publishing,
  };
}

/** Is at least one message missing between the state and this change? */
export function leavesGap(state: StateView, change: ChangeView): boolean {
  return change.serial > state.serial + 1;
}

/** A state fetched while changes kept coming, brought up to the newest of them. */
export function caughtUp(fetched: StateView, since: readonly ChangeView[]): StateView {
  return since
    .filter((change) => change.serial > fetched.serial)
    .reduce(withChange, fetched);
}
