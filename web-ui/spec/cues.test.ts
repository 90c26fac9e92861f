import { describe, expect, it } from 'vitest';
import { coursesOf, cueBetween, isCutShort, standing } from '../src/sound/cues';
import type { CheckPhaseView, FloorView, RunOutPhase, StateView, SwingPhase } from '../src/contract/types';
import { CHECK_IDLE, RESULT } from '../dev/check-scenes';
import { board, calibrated, idle, laying, levelling, runOut, state } from '../dev/scenes';

const WORDS = { turnEdge: (line: string) => `turn ${line}`, lineTaken: (line: string) => `taken ${line}`, heightsTaken: 'heights taken' };
const courses = (of: StateView) => coursesOf(of, WORDS);

/** Tones and sentences heard while one state follows the other; the first is what the page found when it opened. */
function heard(states: readonly StateView[]): (string | null)[][] {
  return states.slice(1).map((now, nth) => {
    const { tone, say } = cueBetween(courses(states[nth]!), courses(now));
    return [tone, say];
  });
}

const tones = (states: readonly StateView[]) => heard(states).flatMap(([tone]) => tone ?? []);

describe('a swing', () => {
  const at = (phase: SwingPhase, say: string, run = 1) => state({ swing: { ...idle, run, phase, say } });

  it('sounds at each turn of its course and speaks each sentence once', () => {
    expect(
      heard([
        at('idle', 'Start.', 0),
        at('await_straight', 'Set straight.'),
        at('hold_straight', 'Keep still.'),
        at('hold_straight', 'Keep still.'),
        at('await_turn', 'Steer left.'),
        at('turning', 'Steer left.'),
        at('hold_stop', 'Keep still.'),
        at('stop_taken', 'Steer right.'),
        at('await_plates', 'Read the plates.'),
        at('done', 'Done.'),
        at('done', 'Done.'),
      ]),
    ).toEqual([
      [null, 'Set straight.'],
      ['hold', 'Keep still.'],
      [null, null],
      ['move', 'Steer left.'],
      [null, null],
      ['hold', 'Keep still.'],
      ['move', 'Steer right.'],
      ['read', 'Read the plates.'],
      ['done', 'Done.'],
      [null, null],
    ]);
  });

  it('that is refused twice is heard twice', () => {
    expect(tones([at('hold_straight', 'x'), at('refused', 'No.'), at('refused', 'No.', 2)])).toEqual(['refused', 'refused']);
  });

  it('that is given up is silent, and what was being said is cut short', () => {
    const [running, ended] = [courses(at('turning', 'Steer.')), courses(at('idle', 'Start.'))];
    expect(cueBetween(running, ended)).toEqual({ tone: null, say: null });
    expect(isCutShort(running, ended)).toBe(true);
    expect(isCutShort(running, courses(at('done', 'Done.')))).toBe(false);
    expect(isCutShort(ended, ended)).toBe(false);
  });

  it('that was over before the page opened is old news; one under way is told', () => {
    expect(cueBetween(null, courses(at('done', 'Done.')))).toEqual({ tone: null, say: null });
    expect(cueBetween(null, courses(at('refused', 'No.')))).toEqual({ tone: null, say: null });
    expect(cueBetween(null, courses(at('turning', 'Steer.')))).toEqual({ tone: 'move', say: 'Steer.' });
  });

  it('has a sentence to repeat while it is under way', () => {
    expect(standing(courses(at('turning', 'Steer.')))).toBe('Steer.');
    expect(standing(courses(at('done', 'Done.')))).toBeNull();
  });
});

describe('a check', () => {
  const at = (phase: CheckPhaseView, say: string, checked: StateView['checked'] = []) => state({ check: { ...CHECK_IDLE, kind: 'play', run: 1, phase, say }, checked });

  it('is heard from its start to its end', () => {
    expect(tones([state(), at('await_still', 'a'), at('hold', 'b'), at('rock', 'c'), at('await_figure', 'd'), at('done', 'e')])).toEqual(['hold', 'move', 'read', 'done']);
    expect(tones([at('hold', 'b'), at('refused', 'f')])).toEqual(['refused']);
  });

  it('tells what it found when it ends', () => {
    const told = heard([at('hold', 'b'), at('done', 'Done.', [{ ...RESULT, run: 1, say: 'Play 0.3 mm.' }])]);
    expect(told).toEqual([['done', 'Play 0.3 mm.']]);
  });
});

describe('a run-out', () => {
  const at = (phases: readonly RunOutPhase[]) =>
    state({ levelling: { ...levelling(), run_outs: phases.map((phase, nth) => ({ ...runOut(nth === 0 ? 'front_left' : 'front_right'), run: 1, phase, say: phase })) } });

  it('is heard to its end, and two wheels at once are heard as one', () => {
    expect(tones([at(['await_still', 'await_still']), at(['hold', 'hold']), at(['taken', 'taken']), at(['turning', 'turning']), at(['done', 'done'])])).toEqual(['hold', 'move', 'done']);
    expect(heard([at(['hold', 'hold']), at(['taken', 'taken'])])).toEqual([['move', 'taken']]);
  });

  it('of which one wheel is refused sounds refused', () => {
    expect(heard([at(['turning', 'turning']), at(['done', 'refused'])])).toEqual([['refused', 'done refused']]);
  });
});

describe('a board on the bench', () => {
  const at = (procedure: typeof laying | null) => state({ boards: [board('front_left', { calibration: calibrated({ procedure }) })] });

  it('is heard: lay, hold, taken, solved, ended', () => {
    expect(tones([at(null), at(laying), at({ ...laying, phase: 'hold' }), at({ ...laying, phase: 'taken' }), at({ ...laying, phase: 'solved' }), at(null)])).toEqual(['move', 'hold', 'move', 'done']);
    expect(tones([at(laying), at({ ...laying, phase: 'ended' })])).toEqual(['refused']);
  });
});

describe('a survey of the floor', () => {
  const at = (more: Partial<FloorView>) => state({ levelling: { ...levelling(), floor: { ...levelling().floor, half: null, lines: [], ...more } } });

  it('asks for the edge to be turned and tells when a line is taken', () => {
    const front = { line: 'front', slope_deg: 0.1, expanded_deg: 0.02 } as const;
    expect(heard([at({}), at({ half: 'front' }), at({ lines: [front] }), at({ lines: [front], half: 'front' }), at({ lines: [front] })])).toEqual([
      ['move', 'turn front'],
      ['done', 'taken front'],
      ['move', 'turn front'],
      ['done', 'taken front'],
    ]);
  });

  it('by heights is told too, and forgetting it is silent', () => {
    expect(heard([at({}), at({ by: 'heights' }), at({ by: 'configuration' })])).toEqual([['done', 'heights taken'], [null, null]]);
  });
});

it('a daemon without checks is heard all the same', () => {
  const { check: _, checked: __, ...old } = state({ swing: { ...idle, phase: 'turning', say: 'Steer.' } });
  expect(cueBetween(null, courses(old as StateView)).say).toBe('Steer.');
});
