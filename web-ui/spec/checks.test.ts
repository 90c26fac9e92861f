import { describe, expect, it } from 'vitest';
import type { CheckPhaseView } from '../src/contract/types';
import { checkDeed, checkUnderWay, figuresOf, isWrongHeight, KINDS, ofOneWheel, resultOf, sourcesOf, startOf, type CheckChoice } from '../src/state/checks';
import { texts } from '../src/texts';
import { state } from '../dev/scenes';
import { CHECK_IDLE, RESULT } from '../dev/check-scenes';

const choice: CheckChoice = { kind: 'play', mount: 'rear_left', grip: 'front_rear', turn: 'both', by: 'steering_wheel', axle: 'rear', to_left: '-x', edge: 'yes', ride_height: '' };

describe('a guided check', () => {
  it.each([
    ['idle', 'idle', false],
    ['await_still', 'rest', true],
    ['hold', 'hold', true],
    ['taken', 'move', true],
    ['moving', 'move', true],
    ['rock', 'move', true],
    ['await_figure', 'read', true],
    ['done', 'done', false],
    ['refused', 'refused', false],
  ] as [CheckPhaseView, string, boolean][])('at %s the deed is %s; on the whole screen: %s', (phase, deed, on) => {
    expect(checkDeed(phase)).toBe(deed);
    expect(checkUnderWay(state({ check: { ...CHECK_IDLE, phase } })) !== null).toBe(on);
  });

  it('is asked for with what it needs and nothing else', () => {
    const started = KINDS.map((kind) => startOf({ ...choice, kind }));
    expect(started).toEqual([
      { kind: 'play', mount: 'rear_left', grip: 'front_rear' },
      { kind: 'centring', by: 'steering_wheel' },
      { kind: 'toe_out_on_turns', by: 'gyro' },
      { kind: 'camber_on_hub', mount: 'rear_left' },
      { kind: 'camber_on_bar', mount: 'rear_left', turn: 'both' },
      { kind: 'carried_toe', axle: 'rear', to_left: '-x', with_edge: true },
      { kind: 'height_sweep', mount: 'rear_left' },
    ]);
    const sweep = { ...choice, kind: 'height_sweep', ride_height: '352,5' } as const;
    expect(startOf(sweep)).toEqual({ kind: 'height_sweep', mount: 'rear_left', ride_height_mm: 352.5 });
    expect(KINDS.map((kind) => startOf({ ...sweep, kind })).filter((one) => 'ride_height_mm' in one)).toHaveLength(1);
    expect([sweep, { ...sweep, ride_height: '' }, { ...sweep, ride_height: 'high' }, { ...sweep, kind: 'play', ride_height: 'high' } as const].map(isWrongHeight)).toEqual([false, false, true, false]);
    expect(KINDS.filter((kind) => !ofOneWheel(kind))).toEqual(['centring', 'toe_out_on_turns', 'carried_toe']);
    expect(sourcesOf('play')).toEqual([]);
  });

  it('has cautions before it starts, and defers to the maker', () => {
    for (const kind of KINDS) {
      expect(texts.check.cautions[kind].length, kind).toBeGreaterThan(1);
      expect(texts.check.cautions[kind].at(-1)?.[0], kind).toBe('Maker first');
    }
  });

  it.each([
    ['plates', false, { front_left: '20,5', front_right: "18°30'" }, [{ what: 'plate', mount: 'front_left', plate_deg: 20.5 }, { what: 'plate', mount: 'front_right', plate_deg: 18.5 }]],
    ['plates', false, { front_left: '20' }, null],
    ['steering_wheel', false, { steering_wheel: '-540' }, [{ what: 'steering_wheel', steering_wheel_deg: -540 }]],
    ['steering_wheel', false, {}, null],
    ['height', false, {}, null],
    ['height', true, {}, [{ what: 'height' }]],
    ['height', true, { height: 'low' }, null],
    ['height', false, { height: '352', toe: '0,1' }, [{ what: 'height', height_mm: 352, toe_deg: 0.1 }]],
  ] as const)('%s (step %s) with %j', (what, may_step, typed, figures) => {
    expect(figuresOf({ what, position: null, may_step }, typed)).toEqual(figures);
  });

  it('shows the result of the check that ran last and of no other', () => {
    expect(resultOf(state({ check: { ...CHECK_IDLE, run: 2, phase: 'done' }, checked: [RESULT] }))).toBe(RESULT);
    expect(resultOf(state({ check: { ...CHECK_IDLE, run: 3, phase: 'refused' }, checked: [RESULT] }))).toBeUndefined();
  });
});
