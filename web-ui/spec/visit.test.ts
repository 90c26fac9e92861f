import { describe, expect, it, vi } from 'vitest';
import { askName, twiceIfLost, type Chance } from '../src/contract/once';
import { withChange } from '../src/contract/merge';
import type { Answer } from '../src/contract/requests';
import type { ProblemView, VerdictWord } from '../src/contract/types';
import { conditionsOf, conditionText } from '../src/state/conditions';
import { EMPTY, enteredOf, fieldsBlamed, type EnteredDraft } from '../src/state/entered';
import { lineAtHand } from '../src/state/steps';
import { columns, stripOf, tableOf, tally, verdictShape } from '../src/state/verdict';
import { amountOf, amountsOf, commonCautions, cornersOf, limitsOf, liveWheel, wayToGo } from '../src/state/work';
import { markStep } from '../src/picture/curve';
import { fieldPlace, towardWords } from '../src/texts/phrases';
import { state } from '../dev/scenes';
import { CAR, visitAt } from '../dev/visit-scenes';

const problem = (code: string): ProblemView => ({ type: '', title: '', status: 0, detail: '', remedy: '', code });

describe('a request that may be made twice', () => {
  it('has a name of its own, with and without a secure context', () => {
    const bare: Chance = { getRandomValues: (bytes) => crypto.getRandomValues(bytes) };
    const names = new Set(Array.from({ length: 50 }, (_, nth) => askName(nth % 2 === 0 ? crypto : bare)));
    expect(names.size).toBe(50);
    expect(askName(bare)).toMatch(/^[0-9a-f]{32}$/);
  });

  it.each([
    ['answered', [{ ok: true, value: 1 }], 1],
    ['refused', [{ ok: false, problem: problem('no_visit') }], 1],
    ['lost once', [{ ok: false, problem: problem('unreached') }, { ok: true, value: 2 }], 2],
    ['lost for good', [{ ok: false, problem: problem('unreached') }, { ok: false, problem: problem('unreached') }], 2],
  ] as [string, Answer<number>[], number][])('is made as often as needed when %s, under one name', async (_, answers, times) => {
    const asked: string[] = [];
    const request = vi.fn((name: string) => {
      asked.push(name);
      return Promise.resolve(answers[asked.length - 1] as Answer<number>);
    });
    expect(await twiceIfLost(request)).toEqual(answers.at(-1));
    expect(request).toHaveBeenCalledTimes(times);
    expect(new Set(asked).size).toBe(1);
  });
});

describe('the visit on the worksheet', () => {
  it.each([
    ['preparing', 'prepare'],
    ['before', 'camber'],
    ['adjusting', 'adjust'],
    ['after', 'camber'],
    ['closed', 'sheet'],
    [null, 'camber'],
  ] as const)('while %s the line at hand is %s', (stage, line) => {
    expect(lineAtHand(state(), stage)).toBe(line);
  });

  it('joins the state as a section', () => {
    const changed = withChange(state(), { serial: 2, now_us: 1, visit: { id: 4, entries: 9 } });
    expect(changed.visit).toEqual({ id: 4, entries: 9 });
    expect(withChange(changed, { serial: 3, now_us: 2 }).visit).toEqual({ id: 4, entries: 9 });
  });
});

describe('the table', () => {
  const after = visitAt('after');
  it('has a row for each place with before beside after', () => {
    const camber = tableOf(after).find(({ quantity }) => quantity === 'camber');
    expect(columns(after)).toEqual(['before', 'after']);
    expect(camber?.rows.map(({ place }) => place)).toEqual(['front_left', 'front_right']);
    expect(camber?.rows[1]?.found.before?.value).toBe(0.35);
    expect(camber?.rows[1]?.found.after?.value).toBe(-0.05);
    expect(camber?.differences).toHaveLength(1);
  });

  it('loses no finding and counts each once', () => {
    const shown = tableOf(after).flatMap(({ rows }) => rows.flatMap(({ found }) => Object.values(found)));
    expect(shown).toHaveLength(after.findings.length);
    expect(tally(after, 'after')).toEqual({ inside: 2, outside: 0, undecided: 1, unjudged: 0 });
  });

  it('shows each verdict by a shape of its own, and none where there is none', () => {
    const words: VerdictWord[] = ['inside', 'outside', 'undecided'];
    expect(words.map((verdict) => verdictShape({ verdict }))).toEqual(words);
    expect([verdictShape(null), verdictShape(undefined)]).toEqual(['unjudged', 'unjudged']);
  });

  it('draws value and limits in their order, also with one limit', () => {
    const strip = stripOf(0.35, 0.06, { low: -1, high: 0, target: -0.5 });
    const order = [strip?.low, strip?.target, strip?.high, strip?.from, strip?.value, strip?.to];
    expect(order).toEqual([...order].sort((a, b) => Number(a) - Number(b)));
    expect(stripOf(1, 0.1, { high: 2 })?.low).toBeNull();
    expect(stripOf(1, 0, { target: 1 })).toBeNull();
  });
});

describe('the way to go', () => {
  const limits = { low: -1, high: 0 };
  it.each([
    ['far above', 0.35, 0.06, -0.5, limits, { kind: 'go', toward: 'minus', size: 0.85 }],
    ['far below', -1.4, 0.06, -0.5, limits, { kind: 'go', toward: 'plus', size: 0.9 }],
    ['within the ±', -0.47, 0.06, -0.5, limits, { kind: 'there' }],
    ['within the limits with all of its ±', -0.2, 0.06, -0.5, limits, { kind: 'enough', toward: 'minus', size: 0.3 }],
    ['across a limit', -0.03, 0.06, -0.5, limits, { kind: 'go', toward: 'minus', size: 0.47 }],
    ['without limits', -0.2, 0.06, -0.5, null, { kind: 'go', toward: 'minus', size: 0.3 }],
  ] as const)('%s', (_, value, expanded, aim, within, expected) => {
    const way = wayToGo(value, expanded, aim, within);
    expect(way.kind).toBe(expected.kind);
    if (way.kind !== 'there' && expected.kind !== 'there') {
      expect(way.toward).toBe(expected.toward);
      expect(way.size).toBeCloseTo(expected.size, 9);
    }
  });

  it('tells what every step has once, and nothing once that only some have', () => {
    const steps = [{ cautions: ['stands', 'chocks', 'lock'] }, { cautions: ['chocks', 'stands'] }];
    expect(commonCautions(steps)).toEqual(['stands', 'chocks']);
    expect([commonCautions([]), commonCautions([{ cautions: ['stands'] }])]).toEqual([[], []]);
  });

  it.each([
    [['1,5', ''], 2, [1.5, 0]],
    [['', '-2'], 2, [0, -2]],
    [['1,5', 'much'], 2, [1.5, null]],
    [[], 2, [null, null]],
    [['0.25'], 1, [0.25]],
    [[''], 1, [null]],
  ] as const)('a move typed as %j on %i bolts is %j', (typed, bolts, amounts) => {
    expect(amountsOf(typed, bolts)).toEqual(amounts);
  });

  it('is told in the words of the angle', () => {
    // Camber + top out, caster + top rearward, toe + in: as docs/car.example.toml has the signs.
    expect([towardWords('camber', 'plus'), towardWords('caster', 'plus'), towardWords('toe', 'plus')]).toEqual(['Top out', 'Lean back', 'Toe in']);
    expect([towardWords('camber', 'minus'), towardWords('caster', 'minus'), towardWords('toe', 'minus')]).toEqual(['Top in', 'Lean forward', 'Toe out']);
  });

  it('follows a live wheel for camber alone, and asks an adjuster in its own units', () => {
    const visit = visitAt('adjusting');
    const { wheels } = state();
    expect(liveWheel(wheels, 'camber', 'front_right')?.mount).toBe('front_right');
    expect(liveWheel(wheels, 'caster', 'front_right')).toBeUndefined();
    expect(amountOf(visit, 'upper arm shims')).toEqual({ unit: 'mm', bolts: 2 });
    expect(amountOf(visit, 'tie rod')).toEqual({ unit: 'turns', bolts: 1 });
    expect(cornersOf(visit, { adjuster: 'tie rod', place: 'front' })).toEqual(['front_left', 'front_right']);
    expect(cornersOf(visit, { adjuster: 'tie rod', place: 'front_left' })).toEqual(['front_left']);
    expect(limitsOf(visit, { quantity: 'camber', place: 'front_left' })).toEqual({ target: -0.5, low: -1, high: 0 });
  });
});

describe('figures that a person measured', () => {
  const typed = (fields: Record<string, string>, more: Partial<EnteredDraft> = {}): EnteredDraft => ({ ...EMPTY, typed: fields, ...more });
  const FRONT = { 'front_left.ahead': '81,5', 'front_left.behind': '3 1/4 in', 'front_right.ahead': '80', 'front_right.behind': '82' };
  it('go as they were typed, units and all, with the axle that was measured', () => {
    expect(enteredOf('strings', typed({ ...FRONT, front_diameter: '352 mm' }))).toEqual({
      kind: 'ready',
      figures: {
        way: 'strings',
        front_diameter: '352 mm',
        wheels: [
          { corner: 'front_left', ahead: '81,5', behind: '3 1/4 in' },
          { corner: 'front_right', ahead: '80', behind: '82' },
        ],
      },
    });
  });

  it.each([
    ['strings', {}, ['front_left.ahead', 'front_left.behind', 'front_right.ahead', 'front_right.behind']],
    ['strings', { ...FRONT, 'rear_left.ahead': '80' }, ['rear_left.behind', 'rear_right.ahead', 'rear_right.behind']],
    ['gap', { ahead: '1290', behind: '1292', turned_ahead: '1291' }, ['turned_behind']],
    ['spot', { forward: '12', turned_up: '3' }, ['distance', 'turned_forward']],
    ['slip', {}, ['reading']],
    ['setback', { left: '512' }, ['right']],
  ] as const)('%s with %j lacks %j', (way, fields, missing) => {
    expect(enteredOf(way, typed(fields))).toEqual({ kind: 'missing', fields: missing });
  });

  it('take a second pair, a second axle and what is known beside', () => {
    const gap = enteredOf('gap', typed({ ahead: '1290', behind: '1292', turned_ahead: '1291', turned_behind: '1292', reading_standard: '0,5', below_hub: '40' }, { front: false, carried_round: true }));
    expect(gap).toMatchObject({ kind: 'ready', figures: { front: false, carried_round: true, below_hub: '40', reading_standard: '0,5', pairs: [{ ahead: '1290' }, { behind: '1292' }] } });
    expect(enteredOf('slip', typed({ reading: '-2,5', reading_3: '13 ft/mile' }))).toMatchObject({ figures: { corner: 'front_left', readings: ['-2,5', '13 ft/mile'] } });
    expect(enteredOf('spot', typed({ distance: '3 m', forward: '12', up: '2', turned_forward: '10' }))).toMatchObject({ figures: { spot: { forward: '12', up: '2' }, half_turned: { forward: '10' } } });
  });

  it('are blamed where the refusal quotes them, and nowhere else', () => {
    const fields = { ahead: '12 feet wide', behind: '1292' };
    expect(fieldsBlamed('front gap 1: "12 feet wide", character 4: \'f\' stands there; a unit would do', fields)).toEqual(['ahead']);
    expect(fieldsBlamed('Both gaps are longer than the track.', fields)).toEqual([]);
  });
});

describe('the state of the car', () => {
  const kept = { tyre_kpa: { front_left: 180 }, load: 'driver' };
  it('keeps what was entered before beside what is typed now', () => {
    expect(conditionsOf({ 'tyre_kpa.front_right': '182,5', place_c: '-3' }, kept).conditions).toEqual({
      tyre_kpa: { front_left: 180, front_right: 182.5 },
      tread_mm: {},
      ride_height_mm: {},
      load: 'driver',
      place_c: -3,
    });
    expect(conditionText({}, kept, 'tyre_kpa.front_left', 'de-DE')).toBe('180');
    expect(conditionText({ 'tyre_kpa.front_left': '' }, kept, 'tyre_kpa.front_left', 'de-DE')).toBe('');
  });

  it('names what is no number', () => {
    expect(conditionsOf({ 'tread_mm.rear_left': 'bald' }, null)).toEqual({ conditions: null, wrong: ['tread_mm.rear_left'] });
  });
});

describe('small things', () => {
  it.each([
    [10, 5, 2],
    [1, 5, 0.2],
    [37, 7, 10],
    [0.04, 5, 0.01],
  ])('marks over %d in about %d steps stand %d apart', (span, many, step) => {
    expect(markStep(span, many)).toBeCloseTo(step, 12);
  });

  it('a wrong field is named so that it is found', () => {
    expect(fieldPlace('targets.front.camber_deg.low')).toBe('front camber, lowest');
    expect(fieldPlace('holds.tyre_kpa.rear_left')).toBe('tyre pressure rear left');
    expect(fieldPlace('adjuster.1.pitch_mm')).toBe('adjuster 2, way of the thread in one turn');
    expect(CAR.record.name).toBe('Wicket 1300');
  });
});
