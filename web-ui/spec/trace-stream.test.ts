import { beforeEach, describe, expect, it } from 'vitest';
import { AGAIN_MS, followTraces, type TraceWorld } from '../src/contract/traces';
import type { TraceBatchView } from '../src/contract/types';
import { lostReadings, takeTraces, traced, traceNow_us } from '../src/state/traces';

type Board = TraceBatchView['boards'][number];

const board = (more: Partial<Board>): Board => ({
  id: 'left',
  mount: 'front_left',
  at_us: [],
  lean_deg: [],
  pitch_deg: [],
  gaps: [],
  lean_expanded_deg: 0.1,
  pitch_expanded_deg: 0.2,
  lost: 0,
  ...more,
});

beforeEach(() => {
  traced.value = [];
  lostReadings.value = 0;
  // Time goes back by far: another daemon, so nothing of the test before is left.
  takeTraces({ now_us: -1e15, boards: [] }, 0);
});

describe('traces that arrive', () => {
  it('lie in the ring of their board, gaps with their reason', () => {
    takeTraces({ now_us: 40, boards: [board({ at_us: [10, 20, 30], lean_deg: [1, null, 2], pitch_deg: [3, null, 4], gaps: ['moving'], lost: 7 })] }, 0);
    const [left] = traced.value;
    expect(left?.ring.length).toBe(3);
    expect([0, 1, 2].map((nth) => left?.ring.gap(nth))).toEqual([null, 'moving', null]);
    expect([0, 2].map((nth) => [left?.ring.value_deg('lean', nth), left?.ring.value_deg('pitch', nth)])).toEqual([[1, 3], [2, 4]]);
    expect(left?.ring.half_deg('pitch', 0)).toBeCloseTo(0.2, 6);
    expect(lostReadings.value).toBe(7);
  });

  it('tell the daemon’s clock by the message that came soonest, and begin anew with another daemon', () => {
    takeTraces({ now_us: 5_000_000, boards: [board({ at_us: [4_900_000], lean_deg: [1], pitch_deg: [1] })] }, 1000);
    expect(traceNow_us(1000)).toBe(5_000_000);
    // Half a second late on the way: the clock hardly moves.
    takeTraces({ now_us: 5_050_000, boards: [] }, 1550);
    expect(Math.abs((traceNow_us(1050) as number) - 5_050_000)).toBeLessThan(5000);
    takeTraces({ now_us: 100, boards: [] }, 2000);
    expect(traceNow_us(2000)).toBe(100);
    expect(traced.value[0]?.ring.length).toBe(0);
  });
});

describe('the stream of traces', () => {
  it('is opened again a while after it went, until it is closed', () => {
    const sources: { told: Map<string, (event: unknown) => void>; closed: boolean; onerror: (() => void) | null }[] = [];
    let later: (() => void) | null = null;
    const world: TraceWorld = {
      open: () => {
        const source = { told: new Map<string, (event: unknown) => void>(), closed: false, onerror: null as (() => void) | null };
        sources.push(source);
        return {
          addEventListener: (name: string, hear: (event: unknown) => void) => void source.told.set(name, hear),
          close: () => (source.closed = true),
          set onerror(hear: () => void) {
            source.onerror = hear;
          },
        } as unknown as ReturnType<TraceWorld['open']>;
      },
      now_ms: () => 12,
      after: (pause_ms, act) => {
        expect(pause_ms).toBe(AGAIN_MS);
        later = act;
        return () => (later = null);
      },
    };
    const told: unknown[] = [];
    const close = followTraces(world, { batch: (batch, at_ms) => told.push([batch.now_us, at_ms]), open: (open) => told.push(open) });
    sources[0]?.told.get('open')?.({});
    sources[0]?.told.get('traces')?.({ data: '{"now_us":3,"boards":[]}' });
    sources[0]?.onerror?.();
    expect(told).toEqual([true, [3, 12], false]);
    expect(sources[0]?.closed).toBe(true);
    (later as (() => void) | null)?.();
    expect(sources).toHaveLength(2);
    close();
    expect(sources[1]?.closed).toBe(true);
  });
});
