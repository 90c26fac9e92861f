// Where the front wheels went in the swing that runs: kept by the page alone, for its picture. The
// stops are the daemon's, so a page that is opened in the middle of a swing shows them all.
import { effect, signal } from '@preact/signals';
import type { MountView, StateView, SwingView } from '../contract/types';
import { daemon } from './index';
import { isUnderWay } from './steps';

/** Points kept for a wheel: at a tenth of a degree each, five times from lock to lock and back. */
export const TRAIL_LENGTH = 4096;
/** A wheel that moved less than this has not gone on. */
const STEP_DEG = { steer: 0.1, camber: 0.02 } as const;
/** After a longer silence nobody knows which way it went. */
const UNSEEN_US = 1_000_000;

/** A way in memory that is taken once. When it is full the oldest is forgotten. */
export class Trail {
  private readonly steer = new Float32Array(TRAIL_LENGTH);
  private readonly camber = new Float32Array(TRAIL_LENGTH);
  /** Is this place the first of an unbroken piece? */
  private readonly begins = new Uint8Array(TRAIL_LENGTH);
  private written = 0;
  private seen_us = Number.NEGATIVE_INFINITY;

  take(at_us: number, steer_deg: number, camber_deg: number): void {
    const begins = at_us - this.seen_us > UNSEEN_US;
    this.seen_us = at_us;
    const last = (this.written - 1) % TRAIL_LENGTH;
    const moved =
      Math.abs(steer_deg - (this.steer[last] ?? Number.NaN)) >= STEP_DEG.steer || Math.abs(camber_deg - (this.camber[last] ?? Number.NaN)) >= STEP_DEG.camber;
    if (this.written > 0 && !begins && !moved) return;
    const place = this.written % TRAIL_LENGTH;
    this.steer[place] = steer_deg;
    this.camber[place] = camber_deg;
    this.begins[place] = begins ? 1 : 0;
    this.written += 1;
  }

  /** The way so far in unbroken pieces. */
  pieces(): [number, number][][] {
    const pieces: [number, number][][] = [];
    for (let nth = Math.max(0, this.written - TRAIL_LENGTH); nth < this.written; nth += 1) {
      const place = nth % TRAIL_LENGTH;
      if (pieces.length === 0 || this.begins[place] === 1) pieces.push([]);
      pieces.at(-1)?.push([this.steer[place] ?? 0, this.camber[place] ?? 0]);
    }
    return pieces;
  }
}

interface Trails {
  run: number;
  wheels: ReadonlyMap<MountView, Trail>;
}

/** The ways of the swing that runs or ran last while this page was open. */
export const trails = signal<Trails>({ run: 0, wheels: new Map() });

/** The ways after one more message of the daemon. */
export function withWay(before: Trails, swing: SwingView, now_us: number): Trails {
  const same = before.run === swing.run;
  if (swing.wheels.length === 0 || !isUnderWay(swing)) return same ? before : { run: swing.run, wheels: new Map() };
  const wheels = new Map(same ? before.wheels : []);
  for (const { mount, steer_deg, camber_deg } of swing.wheels) {
    const trail = wheels.get(mount) ?? new Trail();
    trail.take(now_us, steer_deg, camber_deg);
    wheels.set(mount, trail);
  }
  return { run: swing.run, wheels };
}

/** Follows the swing. Called once. */
export function followTrails(): void {
  effect(() => {
    const state: StateView | null = daemon.value;
    if (state !== null) trails.value = withWay(trails.peek(), state.swing, state.now_us);
  });
}
