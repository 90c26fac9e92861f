// Which part of the worksheet is at hand. Pure: a function of the state alone.
import type { CheckView, Stage, StateView, SwingPhase, SwingView } from '../contract/types';

/** What the operator has to do with the wheels. */
export type Deed = 'rest' | 'hold' | 'move' | 'read' | 'done' | 'refused' | 'idle';

const DEEDS: Record<SwingPhase, Deed> = {
  idle: 'idle',
  await_straight: 'rest',
  hold_straight: 'hold',
  await_turn: 'move',
  turning: 'move',
  hold_stop: 'hold',
  stop_taken: 'move',
  hold_return: 'hold',
  await_plates: 'read',
  done: 'done',
  refused: 'refused',
};

export function deedOf(phase: SwingPhase): Deed {
  return DEEDS[phase];
}

/** Is a swing under way, so that it takes the whole screen? */
export function isUnderWay(swing: SwingView): boolean {
  return swing.phase !== 'idle' && swing.phase !== 'done' && swing.phase !== 'refused';
}

export type Line =
  | 'visit'
  | 'prepare'
  | 'boards'
  | 'floor'
  | 'run_out'
  | 'camber'
  | 'traces'
  | 'swing'
  | 'findings'
  | 'checks'
  | 'figures'
  | 'table'
  | 'meaning'
  | 'adjust'
  | 'sheet';

/** Lines that a stage of a visit brings to hand by itself; in the others the measuring does. */
const BY_STAGE: Partial<Record<Stage, Line>> = { preparing: 'prepare', adjusting: 'adjust', closed: 'sheet' };

/** The line of the worksheet that is at hand while no swing is under way. */
export function lineAtHand(state: StateView, stage: Stage | null = null): Line {
  const byStage = stage === null ? undefined : BY_STAGE[stage];
  if (byStage) return byStage;
  if (state.swing.phase === 'done' && state.findings.some((finding) => finding.run === state.swing.run)) return 'findings';
  if (state.swing.phase === 'refused') return 'swing';
  if (state.boards.length === 0) return 'boards';
  // A wheel whose board sits nobody knows how shows nothing before it was turned.
  if (state.levelling.run_outs.some(({ sits_by, phase }) => sits_by === 'unknown' || phase === 'refused')) return 'run_out';
  return 'camber';
}

/**
 * Does the page open on the live figures, with nothing before them? Figures of a simulated car never stand there without
 * the word that they are.
 */
export function opensOnFigures(state: StateView): boolean {
  if (state.scenario != null || (state.setup?.practice ?? 'off') !== 'off') return false;
  const check = state.check as CheckView | undefined;
  const busy =
    isUnderWay(state.swing) ||
    state.levelling.run_outs.some(({ phase }) => phase !== 'idle' && phase !== 'done' && phase !== 'refused') ||
    (check !== undefined && !['idle', 'done', 'refused'].includes(check.phase)) ||
    state.boards.some(({ calibration }) => calibration.procedure != null);
  return !busy && state.wheels.length > 0 && lineAtHand(state) === 'camber';
}

/** Share of a hold that is done, 0 to 1. */
export function heldShare({ held_s, hold_needed_s }: { held_s: number; hold_needed_s: number }): number {
  if (!(hold_needed_s > 0)) return 0;
  return Math.min(1, Math.max(0, held_s / hold_needed_s));
}
