import { describe, expect, it } from 'vitest';
import type { LineName, RunOutPhase } from '../src/contract/types';
import { leftOut, sheets } from '../src/state/findings';
import { differenceOf, HEIGHTS, heightsOf, LENGTHS, nextLine, runOutDeed, running, unknownWheels } from '../src/state/levelling';
import { lineAtHand } from '../src/state/steps';
import { withChange } from '../src/contract/merge';
import { findings, levelling, runOut, state } from '../dev/scenes';

describe('lines of the floor', () => {
  const line = (name: LineName) => ({ line: name, slope_deg: 0, expanded_deg: 0.1 });
  it.each([
    [null, [], 'front'],
    ['rear', [], 'rear'],
    [null, ['front'], 'left'],
    [null, ['left', 'front'], 'rear'],
    ['front', ['front', 'left'], 'front'],
    [null, ['front', 'rear', 'left', 'right'], null],
  ] as const)('with %s half taken and %j taken the next is %s', (half, taken, next) => {
    expect(nextLine({ half, lines: taken.map(line) })).toBe(next);
  });
});

describe('run-outs', () => {
  const at = (phase: RunOutPhase) => state({ levelling: levelling({ run_outs: [runOut('front_left', { phase }), runOut('front_right')] }) });
  it.each([
    ['idle', 'idle', 0],
    ['await_still', 'rest', 1],
    ['hold', 'hold', 1],
    ['taken', 'move', 1],
    ['turning', 'move', 1],
    ['done', 'done', 0],
    ['refused', 'refused', 0],
  ] as const)('at %s the deed is %s and %i take the screen', (phase, deed, on) => {
    expect(runOutDeed(phase)).toBe(deed);
    expect(running(at(phase))).toHaveLength(on);
  });

  it('come first for a wheel whose board sits nobody knows how, and after a refusal', () => {
    const unknown = state({ levelling: levelling({ run_outs: [runOut('front_right', { sits_by: 'unknown' })] }) });
    expect(unknownWheels(unknown)).toEqual(['front_right']);
    expect(lineAtHand(unknown)).toBe('run_out');
    expect(lineAtHand(at('refused'))).toBe('run_out');
    expect(lineAtHand(at('done'))).toBe('camber');
  });

  it('join the state as one section', () => {
    const changed = withChange(state(), { serial: 2, now_us: 1, levelling: at('hold').levelling });
    expect(changed.levelling.run_outs[0]?.phase).toBe('hold');
    expect(withChange(changed, { serial: 3, now_us: 2 }).levelling).toBe(changed.levelling);
  });
});

describe('the floor', () => {
  const typed = Object.fromEntries([...HEIGHTS, ...LENGTHS].map((field, n) => [field, `${n},5`]));
  it('is taken from what is typed, once all of it is a number', () => {
    expect(heightsOf(typed, 'pad_height')).toMatchObject({ reads: 'pad_height', front_left_mm: 0.5, standard_mm: 7.5 });
    for (const field of [...HEIGHTS, ...LENGTHS]) {
      for (const wrong of ['', 'x', '1,2,3']) expect(heightsOf({ ...typed, [field]: wrong }, 'pad_height')).toBeNull();
    }
  });
});

describe('left less right', () => {
  const of = (run: number, value_deg: number) => ({ run, angle: 'caster' as const, value_deg, standard_deg: 0.01, expanded_deg: 0.02, correlation: 0.9 });
  it('is the daemon’s, of that run and angle', () => {
    const shown = state({ differences: [of(1, 0.5), of(2, 0.7)] });
    expect(differenceOf(shown, 1, 'caster')?.value_deg).toBe(0.5);
    expect(differenceOf(shown, 2, 'caster')?.value_deg).toBe(0.7);
    expect(differenceOf(shown, 2, 'sai')).toBeUndefined();
  });

  it('lists every rest that some finding did without, once', () => {
    const [first, second, ...rest] = findings(1);
    const sheet = sheets([{ ...first!, left_out: [2] }, { ...second!, left_out: [2, 1] }, ...rest])[0];
    expect(sheet && leftOut(sheet)).toEqual([1, 2]);
  });
});
