// The last half minute of every board, as it is drawn. The rings are no signals: what draws them
// looks at them once a frame. Signals tell only what changes seldom: which boards there are.
import { batch as together, signal } from '@preact/signals';
import { browserTraces, followTraces, type TraceListener, type TraceWorld } from '../contract/traces';
import type { MountView, TraceBatchView } from '../contract/types';
import { Ring, type Gap } from '../picture/ring';

/** What is drawn reaches so far back. */
export const WINDOW_US = 30_000_000;
/** Boards that are drawn: as many as a daemon serves. */
const MOST_BOARDS = 16;

export interface Traced {
  id: string;
  mount: MountView;
  ring: Ring;
}

/** The boards that have shown something since the traces were opened. */
export const traced = signal<readonly Traced[]>([]);
/** Is the stream open? */
export const following = signal(false);
/** Readings that were lost because they were not taken in time. */
export const lostReadings = signal(0);

/** Rises with everything that is put into a ring: what draws sees by it whether there is something new. */
let changes = 0;
export const changesSoFar = (): number => changes;

/** The daemon's clock less the page's, µs, by the message that was delayed least. */
let offset_us: number | null = null;
/** Share by which an offset gives way to smaller ones: clocks drift, and a tablet sleeps. */
const GIVES_WAY = 0.005;
/** Time that went back by more than this is another daemon's. */
const ANOTHER_US = 1_000_000;

/** The daemon's clock now, µs; null before the first message. */
export const traceNow_us = (page_ms: number): number | null => (offset_us === null ? null : page_ms * 1000 + offset_us);

function heardAt(now_us: number, at_ms: number): void {
  const seen_us = now_us - at_ms * 1000;
  if (offset_us !== null && seen_us < offset_us - ANOTHER_US) {
    for (const { ring } of traced.peek()) ring.clear();
    offset_us = null;
  }
  offset_us = offset_us === null || seen_us > offset_us ? seen_us : offset_us + (seen_us - offset_us) * GIVES_WAY;
}

function ringOf(id: string, mount: MountView): Ring | null {
  const known = traced.peek().find((board) => board.id === id);
  if (known) return known.ring;
  if (traced.peek().length >= MOST_BOARDS) return null;
  const ring = new Ring();
  traced.value = [...traced.peek(), { id, mount, ring }];
  return ring;
}

/** Takes a message into the rings. */
export function takeTraces(told: TraceBatchView, at_ms: number): void {
  together(() => {
    heardAt(told.now_us, at_ms);
    for (const { id, mount, at_us, lean_deg, pitch_deg, gaps, lean_expanded_deg, pitch_expanded_deg, lost } of told.boards) {
      const ring = ringOf(id, mount);
      if (ring === null) continue;
      let gap = 0;
      at_us.forEach((at, nth) => {
        const [lean, pitch] = [lean_deg[nth] ?? null, pitch_deg[nth] ?? null];
        if (lean === null || pitch === null) ring.putGap(at, (gaps[gap++] ?? 'stale') as Gap);
        else ring.put(at, { lean_deg: lean, pitch_deg: pitch, lean_expanded_deg: lean_expanded_deg ?? 0, pitch_expanded_deg: pitch_expanded_deg ?? 0 });
      });
      if (lost > 0) lostReadings.value += lost;
    }
    changes += 1;
  });
}

/** Nobody watched from the newest places on: nothing may be joined over that. */
function breakOff(gap: Gap): void {
  for (const { ring } of traced.peek()) {
    const newest_us = ring.newest_us;
    if (newest_us !== null && ring.gap(ring.length - 1) === null) ring.putGap(newest_us + 1, gap);
  }
  changes += 1;
}

const listener: TraceListener = {
  batch: takeTraces,
  open: (open) => {
    if (!open) breakOff('lost');
    following.value = open;
  },
};

/** Follows the traces while the page can be seen; the answer ends it. */
export function watchTraces(world: TraceWorld = browserTraces): () => void {
  let close: (() => void) | null = null;
  const settle = (): void => {
    const seen = !document.hidden;
    if (seen && close === null) close = followTraces(world, listener);
    else if (!seen && close !== null) leave();
  };
  const leave = (): void => {
    close?.();
    close = null;
    following.value = false;
    breakOff('unwatched');
  };
  settle();
  document.addEventListener('visibilitychange', settle);
  return () => {
    document.removeEventListener('visibilitychange', settle);
    leave();
  };
}
