import { describe, expect, it } from 'vitest';
import type { AxisName, BoardView, MountView } from '../src/contract/types';
import { faceless, firstStep, opensByItself, outboardChoices, proposed, uncalibrated, upChoices, type FirstChoices, type FirstStep } from '../src/state/first-run';
import { board, calibrated, setup, state } from '../dev/scenes';

const NONE: FirstChoices = { finding: false, again: null, calibrated: false };
const bare = { mount: null, sits: null } as const;
const raw = { calibration: calibrated({ state: 'absent', source: null }) };

describe('the first run', () => {
  it('opens by itself where nobody has said where any board is', () => {
    const nobody = [board('front_left', bare)];
    expect(opensByItself(state({ boards: [] }))).toBe(true);
    expect(opensByItself(state({ boards: nobody }))).toBe(true);
    expect(opensByItself(state({ boards: [board('front_left')] }))).toBe(false);
    expect(opensByItself(state({ boards: [board('front_left', { sits: null })] }))).toBe(true);
    expect(opensByItself(state({ boards: nobody, setup: setup({ configured: true }) }))).toBe(false);
    expect(opensByItself(state({ boards: nobody, setup: setup({ practice: 'inside' }) }))).toBe(false);
  });

  const tapping = setup({ naming: { ...setup().naming, mount: 'rear_left', say: 'Tap.' } });
  const cases: [string, Parameters<typeof state>[0], Partial<FirstChoices>, FirstStep][] = [
    ['nothing is there', { boards: [] }, {}, 'find'],
    ['a board is there and on no mount', { boards: [board('front_left', bare)] }, {}, 'find'],
    ['a mount waits for its tap', { setup: tapping }, { finding: true }, 'tap'],
    ['a board sits nobody knows how', { boards: [board('front_left', { sits: null })] }, {}, 'face'],
    ['boards are to be placed anew', {}, { finding: true }, 'find'],
    ['another arrow is wanted', {}, { again: 'usb-front_left' }, 'face'],
    ['a board on the body has no arrow outboard', { boards: [board('front_left'), board('body', { sits: null })] }, {}, 'done'],
    ['a board is out of the bag', { boards: [board('front_left', raw)] }, {}, 'calibrate'],
    ['that is left for later', { boards: [board('front_left', raw)] }, { calibrated: true }, 'done'],
    ['all is said', {}, {}, 'done'],
  ];
  it.each(cases)('when %s it is at its step', (_, more, choices, step) => expect(firstStep(state(more), { ...NONE, ...choices })).toBe(step));

  it('asks front before rear, and never what the configuration says', () => {
    const at = (mount: MountView, more: Partial<BoardView> = {}) => board(mount, { sits: null, ...more });
    expect(faceless(state({ boards: [at('rear_left'), at('front_right')] }), null)?.mount).toBe('front_right');
    expect(faceless(state({ boards: [at('front_left', { configured: true }), at('rear_left')] }), null)?.mount).toBe('rear_left');
    expect(faceless(state({ boards: [at('front_left', { state: 'absent' })] }), null)).toBeNull();
  });

  it('asks to calibrate only boards that have none and give readings', () => {
    const boards = [board('front_left', raw), board('front_right'), board('rear_left', { ...raw, state: 'silent' })];
    expect(uncalibrated(state({ boards })).map(({ mount }) => mount)).toEqual(['front_left']);
  });
});

describe('arrows', () => {
  it('that point up or down cannot be chosen for outboard', () => {
    for (const up of ['+x', '-y', '+z'] as const) {
      const choices = outboardChoices(up);
      expect(choices).toHaveLength(4);
      expect(choices.every((axis) => axis[1] !== up[1])).toBe(true);
    }
    expect(outboardChoices(null)).toHaveLength(6);
  });

  it('that point outboard cannot be chosen for up', () => {
    expect(upChoices('-z')).toEqual(['+x', '-x', '+y', '-y']);
  });

  const cases: [string, AxisName | null, AxisName | null, AxisName | null, AxisName][] = [
    ['nothing is known but what is up', '+y', null, null, '+z'],
    ['the chip faces up', '+z', null, null, '+x'],
    ['it sat so before', '+y', '-x', '+z', '-x'],
    ['another board sits so', '+y', null, '-z', '-z'],
    ['it sat so before and cannot now', '+x', '-x', null, '+z'],
  ];
  it.each(cases)('proposed when %s', (_, up_now, own, other, arrow) => {
    const sits = (outboard: AxisName | null) => (outboard === null ? null : { outboard, up: null });
    const one = board('front_left', { up_now, sits: sits(own) });
    expect(proposed(state({ boards: [one, board('front_right', { sits: sits(other) })] }), one)).toBe(arrow);
  });
});
