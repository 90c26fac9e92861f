import { describe, expect, it } from 'vitest';
import type { CarRecord } from '../src/contract/types';
import { adjusterOf, NEW_ADJUSTER, readList } from '../src/state/adjuster-draft';
import { carOf, draftOfCar, EMPTY_CAR } from '../src/state/car-draft';
import { CAR } from '../dev/visit-scenes';

const WITH: CarRecord = {
  ...CAR.record,
  // What no field of the form shows has to stay.
  targets: { ...CAR.record.targets, rear: { sai_deg: { target: 1 }, toe_deg: { target: 0.1 } } },
  adjuster: [{ name: 'shims', at: ['front_left'], way: { kind: 'arm_shims', effect_deg_per_mm: [[0.2, 0.2], [-0.3, 0.3]], stock_mm: [0.5, 1] } }],
};

describe('a car that is typed', () => {
  it('goes round unchanged, what no field shows with it', () => {
    expect(carOf(draftOfCar(WITH, 'de-DE')).record).toEqual(WITH);
  });

  it('takes commas, points and minutes, and leaves out what is empty', () => {
    const typed = { name: ' Bare ', 'front.track_mm': '1290,5', 'targets.front.camber_deg.target': "-0°30'", 'targets.front.camber_deg.low': '', notes: ' ' };
    expect(carOf({ ...EMPTY_CAR, typed }).record).toEqual({ name: 'Bare', front: { track_mm: 1290.5 }, targets: { front: { camber_deg: { target: -0.5 } } } });
  });

  it('forgets a figure whose field was emptied, and every group that is empty then', () => {
    const draft = draftOfCar(CAR.record, 'en-GB');
    const emptied = { ...draft, typed: { ...draft.typed, 'front.track_mm': '', 'front.rim_flange_mm': '', 'front.suspension': '' } };
    expect(carOf(emptied).record).not.toHaveProperty('front');
  });

  it('names every field that is no figure, and a missing name', () => {
    const read = carOf({ ...EMPTY_CAR, typed: { wheelbase_mm: 'long', 'targets.rear.toe_deg.high': '1°75\'' }, adjusters: [NEW_ADJUSTER] });
    expect(read.record).toBeNull();
    expect(read.wrong.sort()).toEqual(['adjuster.0.at', 'adjuster.0.name', 'name', 'targets.rear.toe_deg.high', 'wheelbase_mm']);
  });
});

describe('an adjuster that is typed', () => {
  it('has the words that it cannot be without', () => {
    const { record, wrong } = adjusterOf({ ...NEW_ADJUSTER, name: 'cam', at: ['rear_left'], kind: 'eccentric', typed: { throw_mm: '4,5' } }, 'adjuster.0');
    expect(wrong).toEqual([]);
    expect(record.way).toEqual({ kind: 'eccentric', moves: 'camber', throw_mm: 4.5 });
  });

  it('forgets the lengths of another kind', () => {
    const was = draftOfCar(WITH, 'de-DE').adjusters[0]!;
    expect(adjusterOf({ ...was, kind: 'strut_bolt', typed: {} }, 'a').record.way).toEqual({ kind: 'strut_bolt' });
  });

  it.each([
    ['0,5; 1; 2', [0.5, 1, 2]],
    ['0.5 1', [0.5, 1]],
    ['', []],
    ['1; thick', null],
  ])('a list of shims %s', (typed, list) => {
    expect(readList(typed)).toEqual(list);
  });
});
