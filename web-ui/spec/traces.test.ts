import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { extent_deg, piecesOf, Ring, type Gap } from '../src/picture/ring';
import { markDecimals, settledSpan, spanMarks_deg, WIDTHS_DEG, type Span } from '../src/picture/span';

type Put = { after_us: number; value: number | null };

const put = fc.record({
  after_us: fc.integer({ min: 0, max: 50_000 }),
  value: fc.option(fc.integer({ min: -8000, max: 8000 }).map((n) => n / 128), { freq: 4 }),
});

/** Fills a ring and keeps everything beside it in a plain list. */
function filled(puts: readonly Put[], capacity: number): { ring: Ring; all: { at_us: number; value: number | null }[] } {
  const ring = new Ring(capacity);
  let at_us = 0;
  const all = puts.map(({ after_us, value }) => {
    at_us += after_us;
    if (value === null) ring.putGap(at_us, 'moving');
    else ring.put(at_us, { lean_deg: value, pitch_deg: -value, lean_expanded_deg: 0.5, pitch_expanded_deg: 0.25 });
    return { at_us, value };
  });
  return { ring, all: all.slice(-capacity) };
}

describe('ring of angles', () => {
  it('keeps the newest in their order and forgets the oldest', () => {
    fc.assert(
      fc.property(fc.array(put, { maxLength: 60 }), fc.integer({ min: 1, max: 20 }), (puts, capacity) => {
        const { ring, all } = filled(puts, capacity);
        expect(ring.length).toBe(all.length);
        all.forEach(({ at_us, value }, nth) => {
          expect(ring.time_us(nth)).toBe(at_us);
          expect(ring.gap(nth)).toBe(value === null ? 'moving' : null);
          expect(ring.value_deg('lean', nth)).toBe(value ?? Number.NaN);
          expect(ring.value_deg('pitch', nth)).toBe(value === null ? Number.NaN : -value);
        });
        expect(ring.newest_us).toBe(all.at(-1)?.at_us ?? null);
      }),
    );
  });

  it('finds the first place from a time on', () => {
    fc.assert(
      fc.property(fc.array(put, { maxLength: 40 }), fc.integer({ min: 0, max: 2_000_000 }), (puts, from_us) => {
        const { ring, all } = filled(puts, 16);
        const found = all.findIndex(({ at_us }) => at_us >= from_us);
        expect(ring.firstFrom(from_us)).toBe(found === -1 ? all.length : found);
      }),
    );
  });

  it('never lets time go back', () => {
    const ring = new Ring(4);
    for (const at_us of [10, 5, 20]) ring.putGap(at_us, 'stale');
    expect([0, 1, 2].map((nth) => ring.time_us(nth))).toEqual([10, 10, 20]);
  });

  it('is empty again once cleared', () => {
    const { ring } = filled([{ after_us: 1, value: 2 }], 4);
    ring.clear();
    expect([ring.length, ring.newest_us, piecesOf(ring, 0, 10)]).toEqual([0, null, []]);
  });
});

describe('pieces of a window', () => {
  it('joins neither over a gap nor through one, and shows every place of the window once', () => {
    fc.assert(
      fc.property(fc.array(put, { minLength: 1, maxLength: 60 }), fc.integer({ min: 0, max: 1_000_000 }), fc.integer({ min: 1, max: 1_000_000 }), (puts, from_us, long_us) => {
        const { ring, all } = filled(puts, 32);
        const to_us = from_us + long_us;
        const shown: number[] = [];
        for (const piece of piecesOf(ring, from_us, to_us)) {
          if (piece.kind === 'gap') {
            expect(piece.from_us).toBeGreaterThanOrEqual(from_us);
            expect(piece.to_us).toBeGreaterThanOrEqual(piece.from_us);
            continue;
          }
          for (let nth = piece.from; nth < piece.to; nth += 1) {
            expect(ring.gap(nth)).toBeNull();
            shown.push(nth);
          }
          // It ends where a gap, the window or the ring does.
          if (piece.to < ring.length) expect(ring.gap(piece.to) !== null || ring.time_us(piece.to) > to_us).toBe(true);
        }
        const wanted = all.flatMap(({ at_us, value }, nth) => (value !== null && at_us >= from_us && at_us <= to_us ? [nth] : []));
        expect(shown.filter((nth) => ring.time_us(nth) >= from_us)).toEqual(wanted);
      }),
    );
  });

  it('lets an open gap last to the end of the window and a closed one to the next angles', () => {
    const ring = new Ring(8);
    const angles = { lean_deg: 1, pitch_deg: 0, lean_expanded_deg: 0.1, pitch_expanded_deg: 0.1 };
    ring.put(10, angles);
    ring.putGap(11, 'absent');
    ring.put(50, angles);
    ring.putGap(60, 'lost');
    const gap = (why: Gap, from_us: number, to_us: number) => ({ kind: 'gap', why, from_us, to_us });
    const line = (from: number, to: number) => ({ kind: 'line', from, to });
    expect(piecesOf(ring, 0, 100)).toEqual([line(0, 1), gap('absent', 11, 50), line(2, 3), gap('lost', 60, 100)]);
    expect(piecesOf(ring, 20, 40)).toEqual([gap('absent', 20, 40)]);
  });

  it('has an extent with the ± in it, and none where there are no angles', () => {
    const { ring } = filled([{ after_us: 5, value: 2 }, { after_us: 5, value: null }, { after_us: 5, value: -1 }], 8);
    expect(extent_deg(ring, 'lean', 0, 20)).toEqual({ least: -1.5, most: 2.5 });
    expect(extent_deg(ring, 'pitch', 0, 6)).toEqual({ least: -2.25, most: -1.75 });
    expect(extent_deg(ring, 'lean', 9, 11)).toBeNull();
  });
});

const shown = fc.tuple(fc.double({ min: -90, max: 90, noNaN: true }), fc.double({ min: 0, max: 150, noNaN: true })).map(([least, wide]) => ({ least, most: least + wide }));

describe('value axis', () => {
  const check = (span: Span | null, { least, most }: { least: number; most: number }): Span => {
    expect(span).not.toBeNull();
    const { low_deg, high_deg } = span as Span;
    expect(low_deg).toBeLessThanOrEqual(least);
    expect(high_deg).toBeGreaterThanOrEqual(most);
    expect(WIDTHS_DEG.some((width) => Math.abs(width - (high_deg - low_deg)) < 1e-6)).toBe(true);
    return span as Span;
  };

  it('holds what is shown and has an easy width, whatever was shown before', () => {
    fc.assert(fc.property(fc.array(shown, { minLength: 1, maxLength: 12 }), (all) => void all.reduce<Span | null>((span, one) => check(settledSpan(span, one), one), null)));
  });

  it('stays while what is shown stays in it and takes a fair share of it', () => {
    fc.assert(
      fc.property(shown, fc.double({ min: 0, max: 1, noNaN: true }), (one, share) => {
        const span = settledSpan(null, one) as Span;
        const width = span.high_deg - span.low_deg;
        const wide = width * 0.3;
        const least = span.low_deg + share * (width - wide);
        expect(settledSpan(span, { least, most: least + wide })).toEqual(span);
      }),
    );
  });

  it('narrows when it has become far too wide, and keeps when nothing is shown', () => {
    const wide = settledSpan(null, { least: -20, most: 20 });
    expect(wide).toEqual({ low_deg: -40, high_deg: 40 });
    const narrow = settledSpan(wide, { least: -0.62, most: -0.52 }) as Span;
    expect([narrow.low_deg, narrow.high_deg].map((end) => end.toFixed(6))).toEqual(['-0.800000', '-0.400000']);
    expect(settledSpan(wide, null)).toEqual(wide);
  });

  it('has marks that can be written down', () => {
    expect(spanMarks_deg({ low_deg: -0.2, high_deg: 0.2 })).toEqual([-0.2, -0.1, 0, 0.1, 0.2]);
    for (const width of WIDTHS_DEG) {
      const span = { low_deg: 0, high_deg: width };
      for (const mark of spanMarks_deg(span)) expect(Number(mark.toFixed(markDecimals(span)))).toBe(mark);
    }
  });
});
