// Which board is on the bench, and how it is to lie next.
import { describe, expect, it } from 'vitest';
import type { CalibrationPhase, CalibrationProcedureView } from '../src/contract/types';
import { calibrationDeed, nextWay, onBench, slant, upright } from '../src/state/calibration';
import { heldShare } from '../src/state/steps';
import { texts } from '../src/texts';
import { board, calibrated, laying, SCENES, state } from '../dev/scenes';

const with_ = (more: Partial<CalibrationProcedureView>): CalibrationProcedureView => ({ ...laying, ...more });

describe('the board on the bench', () => {
  it('is the one with a procedure, whether that is over or not', () => {
    expect(onBench(state())).toBeNull();
    for (const phase of ['lay', 'hold', 'taken', 'solved', 'ended'] as const) {
      const procedure = with_({ phase });
      const boards = [board('front_left'), board('front_right', { calibration: calibrated({ procedure }) })];
      expect(onBench(state({ boards }))).toEqual({ board: boards[1], procedure });
    }
  });

  it('has a scene for every phase that is shown', () => {
    const shown = Object.values(SCENES).flatMap((scene) => onBench(scene())?.procedure.phase ?? []);
    expect(new Set(shown)).toEqual(new Set<CalibrationPhase>(['lay', 'hold', 'taken', 'solved']));
  });
});

describe('the way to lay it next', () => {
  const cases: [Partial<CalibrationProcedureView>, string][] = [
    [{ missing_faces: ['+x', '-y'] }, 'X up'],
    [{ missing_faces: ['-z'] }, 'Z down'],
    [{ missing_faces: [], missing_edges: ['yz'] }, 'Y+Z slant'],
    [{ missing_faces: [], missing_edges: [] }, 'new slant'],
    [{ kind: 'reversal', sensing: '+z', about: '-y', missing_faces: [], missing_edges: [] }, 'Y down'],
  ];
  it.each(cases)('%j is told as %s', (more, words) => expect(texts.calibration.way(nextWay(with_(more)))).toBe(words));

  it('names faces and edges by their printed arrows', () => {
    for (const axis of ['+x', '-x', '+y', '-y', '+z', '-z'] as const) {
      const way = upright(axis);
      expect(texts.calibration.way(way)).toBe(texts.calibration.face[axis]);
    }
    for (const edge of ['xy', 'xz', 'yz'] as const) {
      expect(texts.calibration.way(slant(edge))).toBe(texts.calibration.edge[edge]);
    }
  });
});

describe('the hold', () => {
  it.each([
    [0, 4, 0],
    [1, 4, 0.25],
    [5, 4, 1],
    [-1, 4, 0],
    [1, 0, 0],
  ])('%d of %d s is a share of %d', (held_s, hold_needed_s, share) => {
    expect(heldShare(with_({ held_s, hold_needed_s }))).toBe(share);
  });
});

describe('words and deeds', () => {
  it('tell hold, move, done and refused apart', () => {
    const deeds = (Object.keys(texts.calibration.phase) as CalibrationPhase[]).map(calibrationDeed);
    expect(new Set(deeds)).toEqual(new Set(['move', 'hold', 'done', 'refused']));
  });

  it('are different for every state', () => {
    expect(new Set(Object.values(texts.calibration.state)).size).toBe(4);
  });
});
