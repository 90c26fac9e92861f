import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { HISTORY } from '../dev/history-scene';
import { HISTORY_BOX, historyPicture, seriesOf } from '../src/picture/history';
import { drawEdge, drawLine, xOf, yOf, type StripBox } from '../src/picture/strip-line';
import { Ring } from '../src/picture/ring';
import { camberExtent_deg, reach_deg, TRACE_BOX, tracePicture, type WheelTrace } from '../src/picture/swing-trace';
import { settledSpan } from '../src/picture/span';
import { liesBy, limitsAt } from '../src/state/limits';
import { Trail, TRAIL_LENGTH, withWay } from '../src/state/swing-trail';
import { idle } from '../dev/scenes';
import { visitAt } from '../dev/visit-scenes';

describe('points of a strip', () => {
  const box: StripBox = { left_px: 10, right_px: 110, top_px: 0, bottom_px: 100, from_us: 0, to_us: 1_000_000, span: { low_deg: -10, high_deg: 10 } };

  it('go from left to right, and neither least nor most of a crowded column is left out', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -1000, max: 1000 }).map((n) => n / 128), { minLength: 1, maxLength: 600 }), (values) => {
        const ring = new Ring(1024);
        values.forEach((lean_deg, nth) => ring.put(Math.round((nth / values.length) * 1e6), { lean_deg, pitch_deg: 0, lean_expanded_deg: 1, pitch_expanded_deg: 0 }));
        const points: [number, number][] = [];
        drawLine(ring, 'lean', 0, ring.length, box, (x, y) => points.push([x, y]));
        for (let nth = 1; nth < points.length; nth += 1) expect(points[nth]?.[0]).toBeGreaterThanOrEqual(points[nth - 1]?.[0] as number);
        const ys = points.map(([, y]) => y);
        expect(Math.min(...ys)).toBeCloseTo(yOf(box, Math.max(...values)), 6);
        expect(Math.max(...ys)).toBeCloseTo(yOf(box, Math.min(...values)), 6);
        // However many readings there are, a column of the paper takes four points at most.
        expect(points.length).toBeLessThanOrEqual(4 * 101);
        const edge: number[] = [];
        drawEdge(ring, 'lean', 0, ring.length, 1, box, (x) => edge.push(x));
        expect(edge.at(-1)).toBeCloseTo(xOf(box, ring.newest_us as number), 6);
      }),
    );
  });
});

const wheel = (more: Partial<WheelTrace>): WheelTrace => ({ mount: 'front_left', trail: [], knots: [], fitted: [], now: null, ...more });

describe('camber over steer', () => {
  const steer = fc.double({ min: -60, max: 60, noNaN: true });
  const camber = fc.double({ min: -10, max: 10, noNaN: true });

  it('keeps everything on the paper, with left on the left', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(steer, camber), { minLength: 2, maxLength: 30 }), fc.array(fc.tuple(steer, camber, fc.double({ min: 0, max: 1, noNaN: true })), { maxLength: 6 }), (way, stops) => {
        const wheels = [wheel({ trail: [way], knots: stops.map(([steer_deg, camber_deg, expanded_deg]) => ({ steer_deg, camber_deg, expanded_deg })) })];
        const picture = tracePicture(wheels, settledSpan(null, camberExtent_deg(wheels)));
        const { width, height, left, right, top, bottom } = TRACE_BOX;
        const knots = picture?.wheels[0]?.knots ?? [];
        expect(knots).toHaveLength(stops.length);
        knots.forEach(({ x_box, y_box, low_box, high_box }, nth) => {
          expect(x_box).toBeGreaterThanOrEqual(left - 0.01);
          expect(x_box).toBeLessThanOrEqual(width - right + 0.01);
          for (const y of [y_box, low_box, high_box]) {
            expect(y).toBeGreaterThanOrEqual(top - 0.01);
            expect(y).toBeLessThanOrEqual(height - bottom + 0.01);
          }
          if ((stops[nth]?.[0] ?? 0) > 1) expect(x_box).toBeLessThan((left + width - right) / 2);
        });
        expect(reach_deg(wheels)).toBeGreaterThanOrEqual(Math.max(...way.map(([at]) => Math.abs(at))));
      }),
    );
  });

  it('parts the way where it was not seen, and has no line before there is one', () => {
    const two = wheel({ trail: [[[0, 0], [5, 1]], [[10, 2], [12, 2.4]]] });
    const path = tracePicture([two], { low_deg: -5, high_deg: 5 })?.wheels[0]?.trailPath ?? '';
    expect(path.match(/M/g)).toHaveLength(2);
    expect(tracePicture([two], null)).toBeNull();
    expect(camberExtent_deg([wheel({})])).toBeNull();
  });
});

describe('the way of a wheel', () => {
  it('is broken by a silence, leaves standing still out and forgets the oldest only when it is full', () => {
    const trail = new Trail();
    trail.take(0, 0, 0);
    trail.take(50_000, 0.01, 0.001);
    trail.take(100_000, 1, 0);
    trail.take(2_000_000, 5, 0);
    expect(trail.pieces()).toEqual([[[0, 0], [1, 0]], [[5, 0]]]);
    for (let nth = 0; nth < 2 * TRAIL_LENGTH; nth += 1) trail.take(2_000_000 + nth * 50_000, nth % 2 === 0 ? 10 : -10, 0);
    expect(trail.pieces().flat()).toHaveLength(TRAIL_LENGTH);
  });

  it('begins anew with another run and stays after the swing is over', () => {
    const at = (run: number, phase: 'turning' | 'done', steer_deg: number | null) => ({
      ...idle,
      run,
      phase,
      wheels: steer_deg === null ? [] : [{ mount: 'front_left' as const, steer_deg, camber_deg: 0 }],
    });
    let way = withWay({ run: 0, wheels: new Map() }, at(1, 'turning', 1), 0);
    way = withWay(way, at(1, 'turning', 2), 50_000);
    way = withWay(way, at(1, 'done', null), 100_000);
    expect(way.wheels.get('front_left')?.pieces()).toEqual([[[1, 0], [2, 0]]]);
    expect(withWay(way, at(2, 'turning', null), 150_000).wheels.size).toBe(0);
  });
});

describe('a figure by its limits', () => {
  it.each([
    [0, 0.5, { low: -1, high: 1 }, 'within'],
    [0.8, 0.5, { low: -1, high: 1 }, 'across'],
    [1.6, 0.5, { low: -1, high: 1 }, 'beyond'],
    [-1.6, 0.5, { low: -1 }, 'beyond'],
    [9, 0.5, { low: -1 }, 'within'],
    [0, 2, { low: -1, high: 1 }, 'across'],
  ] as const)('%d ± %d in %j lies %s', (value, expanded, limits, lies) => expect(liesBy(value, expanded, limits)).toBe(lies));

  it('has the limits of the visit, else those of its car, else none', () => {
    const visit = visitAt('before');
    const found = visit.findings.find(({ quantity, limits }) => quantity === 'camber' && limits?.low != null);
    expect(found).toBeDefined();
    expect(limitsAt(visit, 'camber', found!.place)).toEqual(found!.limits);
    const bare = { ...visit, findings: [] };
    expect(limitsAt(bare, 'camber', 'front_left')).toEqual(visit.car.targets?.front?.camber_deg ?? null);
    expect(limitsAt(null, 'camber', 'front_left')).toBeNull();
  });
});

describe('a car over its visits', () => {
  it('has one series for each quantity and place, with a place for every visit', () => {
    const series = seriesOf(HISTORY);
    expect(series.map(({ quantity, place }) => `${quantity} ${place}`)).toEqual(['camber front_left', 'camber front_right', 'caster front_left', 'total_toe front']);
    for (const one of series) expect(one.visits.map(({ id }) => id)).toEqual([1, 2, 3]);
    expect(series[1]?.visits[2]).toMatchObject({ before: null, after: null });
  });

  it('is drawn inside its box, and only where something was measured', () => {
    for (const one of seriesOf(HISTORY)) {
      const picture = historyPicture(one);
      expect(picture?.visits.map(({ before, after }) => [before !== null, after !== null])).toEqual(one.visits.map(({ before, after }) => [before !== null, after !== null]));
      for (const { before, after, low_box, high_box } of picture?.visits ?? [])
        for (const y of [before?.low_box, before?.high_box, after?.low_box, after?.high_box, low_box, high_box])
          if (y != null) expect(y >= HISTORY_BOX.top && y <= HISTORY_BOX.height - HISTORY_BOX.bottom).toBe(true);
    }
    expect(historyPicture({ ...seriesOf(HISTORY)[0]!, visits: [] })).toBeNull();
  });
});
