// Follows every angle of every board over a stream of its own, opened only while somebody looks.
import type { TraceBatchView } from './types';

/** The outside world, given in so that a test can play it. */
export interface TraceWorld {
  open(): Pick<EventSource, 'addEventListener' | 'close' | 'onerror'>;
  now_ms(): number;
  after(pause_ms: number, act: () => void): () => void;
}

export interface TraceListener {
  batch(batch: TraceBatchView, at_ms: number): void;
  /** The stream is open from now on, or gone. */
  open(open: boolean): void;
}

/** Pause before a stream that went away is opened again. */
export const AGAIN_MS = 1000;

/** Opens the stream, and opens it again when it goes; the answer closes it for good. */
export function followTraces(world: TraceWorld, listener: TraceListener): () => void {
  let stop: () => void = () => undefined;
  const begin = (): void => {
    const source = world.open();
    source.addEventListener('open', () => listener.open(true));
    source.addEventListener('traces', (event) => listener.batch(JSON.parse((event as MessageEvent<string>).data) as TraceBatchView, world.now_ms()));
    source.onerror = () => {
      source.close();
      listener.open(false);
      stop = world.after(AGAIN_MS, begin);
    };
    stop = () => source.close();
  };
  begin();
  return () => stop();
}

export const browserTraces: TraceWorld = {
  open: () => new EventSource('api/v1/traces'),
  now_ms: () => performance.now(),
  after: (pause_ms, act) => {
    const timer = setTimeout(act, pause_ms);
    return () => clearTimeout(timer);
  },
};
