import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { FindingView, StateView, SwingPhase } from '../src/contract/types';
import { againstTruth, findingOf, inOrder, mountsOf, sheets } from '../src/state/findings';
import { judge, plateDue, platesMissing, readingsOf, restsToRead, sideSeen, type PlateDraft } from '../src/state/plates';
import { onBench } from '../src/state/calibration';
import { checkUnderWay } from '../src/state/checks';
import { running } from '../src/state/levelling';
import { deedOf, heldShare, isUnderWay, lineAtHand, opensOnFigures } from '../src/state/steps';
import { findings, idle, rest, scenario, SCENES, state } from '../dev/scenes';

const one = (mount: FindingView['mount'], angle: FindingView['angle']) =>
  findings(1).find((finding) => finding.mount === mount && finding.angle === angle) as FindingView;

describe('plate readings', () => {
  const cases: [PlateDraft, ReturnType<typeof judge>][] = [
    [{ typed: '', side: 'left' }, { kind: 'empty' }],
    [{ typed: '20,5', side: 'left' }, { kind: 'reading', plate_deg: 20.5 }],
    [{ typed: '20,5', side: 'right' }, { kind: 'reading', plate_deg: -20.5 }],
    [{ typed: '-20', side: 'left' }, { kind: 'reading', plate_deg: -20 }],
    [{ typed: '+20', side: 'right' }, { kind: 'reading', plate_deg: 20 }],
    [{ typed: '20', side: null }, { kind: 'side_missing', size_deg: 20 }],
    [{ typed: '0', side: null }, { kind: 'reading', plate_deg: 0 }],
    [{ typed: '2o', side: 'left' }, { kind: 'not_a_number' }],
  ];
  it.each(cases)('%j comes to %j', (draft, verdict) => expect(judge(draft)).toEqual(verdict));

  it('takes the side from the gyro where there is one', () => {
    const [left, right, straight] = [rest(1, 20), rest(2, -20), rest(0, 0)];
    const first = <T>(items: readonly T[]) => items[0] as T;
    expect(sideSeen(left, first(left.wheels))).toBe('left');
    expect(sideSeen(right, first(right.wheels))).toBe('right');
    expect(sideSeen(straight, first(straight.wheels))).toBeNull();
    expect(sideSeen(left, { ...first(left.wheels), steer_deg: null })).toBeNull();
  });

  it('counts what is still to be read', () => {
    expect(platesMissing([rest(0, 0), rest(1, 20), rest(2, -20), rest(3, 0)])).toBe(4);
    expect(platesMissing([])).toBe(0);
  });

  const rests = [rest(0, 0), rest(1, 20), rest(2, -20), rest(3, 0)];
  const plates = { ...idle, steer_source: 'plates' as const, rests };

  it.each([
    ['stop_taken', 'plates', rests.slice(0, 2), true],
    ['stop_taken', 'gyro', rests.slice(0, 2), false],
    ['stop_taken', 'plates', [], false],
    ['turning', 'plates', rests.slice(0, 2), false],
    ['await_turn', 'plates', rests.slice(0, 1), false],
    ['await_plates', 'plates', rests, true],
  ] as const)('at %s with %s they are due: %#', (phase, steer_source, of, due) => {
    expect(plateDue({ ...idle, phase, steer_source, rests: [...of] })).toBe(due);
  });

  it('are asked for at stops, and at straight ahead only in the end', () => {
    expect(restsToRead({ ...plates, phase: 'stop_taken' }).map(({ index }) => index)).toEqual([1, 2]);
    expect(restsToRead({ ...plates, phase: 'await_plates' }).map(({ index }) => index)).toEqual([1, 2, 3]);
  });

  it('are sent with straight ahead first, and only where there is one', () => {
    const typed = new Map([['1', '20'], ['3', '0,2'], ['2', 'x']]);
    const sent = readingsOf({ ...plates, phase: 'await_plates' }, (of) => ({ typed: typed.get(String(of.index)) ?? '', side: 'left' }));
    expect(sent.map((reading) => [reading.rest, reading.mount, reading.plate_deg])).toEqual([
      [3, 'front_left', 0.2],
      [3, 'front_right', 0.2],
      [1, 'front_left', 20],
      [1, 'front_right', 20],
    ]);
  });
});

describe('findings', () => {
  it('are grouped by run, newest first', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 5 })), (runs) => {
        const all = runs.map((run) => ({ ...one('front_left', 'caster'), run }));
        const grouped = sheets(all);
        expect(grouped.flatMap((sheet) => sheet.findings)).toHaveLength(all.length);
        expect(grouped.map((sheet) => sheet.run)).toEqual([...new Set(runs)].sort((a, b) => b - a));
      }),
    );
  });

  it('are found by wheel and angle', () => {
    const sheet = sheets(findings(3))[0];
    expect(sheet && mountsOf(sheet)).toEqual(['front_left', 'front_right']);
    expect(sheet && findingOf(sheet, 'front_right', 'sai')).toEqual({ ...one('front_right', 'sai'), run: 3 });
    expect(sheet && findingOf(sheet, 'rear_left', 'sai')).toBeUndefined();
  });

  it('are inside ± exactly when the true angle is in the interval', () => {
    const finding = one('front_left', 'caster');
    expect(againstTruth(finding, null)).toBeNull();
    expect(againstTruth({ ...finding, mount: 'rear_left' }, scenario)).toBeNull();
    fc.assert(
      fc.property(fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true }), (off_deg, expanded_deg) => {
        const compared = againstTruth({ ...finding, value_deg: 5.1 + off_deg, expanded_deg }, scenario);
        expect(compared?.truth_deg).toBe(5.1);
        expect(compared?.error_deg).toBeCloseTo(off_deg, 9);
        fc.pre(Math.abs(Math.abs(off_deg) - expanded_deg) > 1e-9);
        expect(compared?.inside).toBe(Math.abs(off_deg) < expanded_deg);
      }),
    );
  });

  it('compare each angle with its own truth', () => {
    const truths = (['camber', 'caster', 'sai', 'included_angle'] as const).map((angle) => againstTruth(one('front_right', angle), scenario)?.truth_deg);
    expect(truths).toEqual([0.35, 4.55, 12.95, 13.3]);
  });

  it('stand left before right and front before rear', () => {
    const order = inOrder([{ mount: 'rear_right' }, { mount: 'front_right' }, { mount: 'rear_left' }, { mount: 'front_left' }] as const);
    expect(order.map(({ mount }) => mount)).toEqual(['front_left', 'front_right', 'rear_left', 'rear_right']);
  });
});

describe('steps', () => {
  const PHASES: [SwingPhase, ReturnType<typeof deedOf>, boolean][] = [
    ['idle', 'idle', false],
    ['await_straight', 'rest', true],
    ['hold_straight', 'hold', true],
    ['await_turn', 'move', true],
    ['turning', 'move', true],
    ['hold_stop', 'hold', true],
    ['stop_taken', 'move', true],
    ['hold_return', 'hold', true],
    ['await_plates', 'read', true],
    ['done', 'done', false],
    ['refused', 'refused', false],
  ];
  it.each(PHASES)('%s means %s, under way: %s', (phase, deed, underWay) => {
    expect(deedOf(phase)).toBe(deed);
    expect(isUnderWay({ ...idle, phase })).toBe(underWay);
  });

  it.each([
    ['idle', 'camber'],
    ['bare', 'boards'],
    ['done', 'findings'],
    ['refused', 'swing'],
  ])('in the scene %s the line at hand is %s', (name, line) => {
    expect(lineAtHand(SCENES[name]?.() ?? state())).toBe(line);
  });

  it.each(Object.keys(SCENES))('in the scene %s the figures alone come first only if nothing lies before them', (name) => {
    const scene = SCENES[name]?.() ?? state();
    const before = [
      isUnderWay(scene.swing) && 'swing',
      running(scene).length > 0 && 'run-out',
      checkUnderWay(scene) !== null && 'check',
      onBench(scene) !== null && 'calibration',
      scene.wheels.length === 0 && 'no wheel',
      lineAtHand(scene) !== 'camber' && 'another line',
    ].filter((one) => one !== false);
    expect(opensOnFigures({ ...scene, scenario: null, setup: { ...scene.setup, practice: 'off' } } as StateView), before.join(', ')).toBe(before.length === 0);
  });

  it('figures of a simulated car never stand alone', () => {
    const scene = SCENES['four']?.() ?? state();
    const real = { ...scene, scenario: null };
    expect(opensOnFigures(real)).toBe(true);
    expect(opensOnFigures(scene)).toBe(false);
    for (const practice of ['inside', 'running'] as const) expect(opensOnFigures({ ...real, setup: { ...real.setup, practice } } as StateView)).toBe(false);
  });

  it('shares of a hold stay between none and all', () => {
    fc.assert(
      fc.property(fc.double({ min: -5, max: 50 }), fc.double({ min: -5, max: 50 }), (held_s, hold_needed_s) => {
        const share = heldShare({ ...idle, held_s: held_s || 0, hold_needed_s });
        expect(share).toBeGreaterThanOrEqual(0);
        expect(share).toBeLessThanOrEqual(1);
      }),
    );
    expect(heldShare({ ...idle, held_s: 1, hold_needed_s: 4 })).toBe(0.25);
  });
});
