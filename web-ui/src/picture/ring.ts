// The last angles of one board, in memory that is taken once and never grows.
//
// A place is either angles or a gap with its reason; a gap lasts to the next angles.

/** Places that are kept: 160 s of a board at 100 Hz, 16 s at 1 kHz. What is drawn is the last half minute. */
export const RING_LENGTH = 16_384;

/** Why there are no angles; the place in this list is what the ring stores. 0 is: there are. */
export const GAPS = ['', 'absent', 'stale', 'saturated', 'unfit', 'moving', 'settling', 'unmounted', 'lost', 'unwatched'] as const;
export type Gap = Exclude<(typeof GAPS)[number], ''>;

/** The two angles of a board: camber and hub pitch of a wheel, roll and pitch of the body. */
export type Which = 'lean' | 'pitch';

export interface Angles {
  lean_deg: number;
  pitch_deg: number;
  /** Half widths of the 95 % intervals. */
  lean_expanded_deg: number;
  pitch_expanded_deg: number;
}

export class Ring {
  private readonly times_us: Float64Array;
  private readonly values: Record<Which, Float32Array>;
  private readonly halves: Record<Which, Float32Array>;
  private readonly gaps: Uint8Array;
  /** Places written since the beginning; the newest is the one before. */
  private written = 0;

  constructor(readonly capacity: number = RING_LENGTH) {
    this.times_us = new Float64Array(capacity);
    this.values = { lean: new Float32Array(capacity), pitch: new Float32Array(capacity) };
    this.halves = { lean: new Float32Array(capacity), pitch: new Float32Array(capacity) };
    this.gaps = new Uint8Array(capacity);
  }

  get length(): number {
    return Math.min(this.written, this.capacity);
  }

  clear(): void {
    this.written = 0;
  }

  put(at_us: number, angles: Angles): void {
    const place = this.next(at_us);
    this.gaps[place] = 0;
    this.values.lean[place] = angles.lean_deg;
    this.values.pitch[place] = angles.pitch_deg;
    this.halves.lean[place] = angles.lean_expanded_deg;
    this.halves.pitch[place] = angles.pitch_expanded_deg;
  }

  putGap(at_us: number, gap: Gap): void {
    this.gaps[this.next(at_us)] = GAPS.indexOf(gap);
  }

  private next(at_us: number): number {
    const place = this.written % this.capacity;
    // Times never go back: a line is drawn from left to right.
    this.times_us[place] = this.length === 0 ? at_us : Math.max(at_us, this.newest_us ?? at_us);
    this.written += 1;
    return place;
  }

  /** Place in the arrays of the nth that is kept, 0 being the oldest. */
  private placeOf(nth: number): number {
    return (this.written - this.length + nth) % this.capacity;
  }

  time_us(nth: number): number {
    return this.times_us[this.placeOf(nth)] ?? Number.NaN;
  }

  /** The angle there; not a number in a gap. */
  value_deg(which: Which, nth: number): number {
    const place = this.placeOf(nth);
    return this.gaps[place] === 0 ? (this.values[which][place] ?? Number.NaN) : Number.NaN;
  }

  half_deg(which: Which, nth: number): number {
    const place = this.placeOf(nth);
    return this.gaps[place] === 0 ? (this.halves[which][place] ?? Number.NaN) : Number.NaN;
  }

  /** Why there is none; null where there are angles. */
  gap(nth: number): Gap | null {
    const gap = GAPS[this.gaps[this.placeOf(nth)] ?? 0];
    return gap === undefined || gap === '' ? null : gap;
  }

  get newest_us(): number | null {
    return this.written === 0 ? null : this.time_us(this.length - 1);
  }

  /** The first place at or after a time; `length` where there is none. */
  firstFrom(at_us: number): number {
    let low = 0;
    let high = this.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.time_us(middle) < at_us) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

/** Places [from, to) that are one unbroken line, or a gap that lasts from `from_us` to `to_us`. */
export type Piece = { kind: 'line'; from: number; to: number } | { kind: 'gap'; why: Gap; from_us: number; to_us: number };

/**
 * What a window shows, from left to right. A line begins with the place before the window, so
 * that it enters from the edge; a gap that began before the window is in it; one that is still
 * open lasts to the window's end.
 */
export function piecesOf(ring: Ring, from_us: number, to_us: number): Piece[] {
  const pieces: Piece[] = [];
  const end = ring.firstFrom(to_us + 1);
  let nth = Math.max(0, ring.firstFrom(from_us) - 1);
  while (nth < end) {
    const why = ring.gap(nth);
    const begin = nth;
    nth += 1;
    if (why === null) {
      while (nth < end && ring.gap(nth) === null) nth += 1;
      pieces.push({ kind: 'line', from: begin, to: nth });
    } else {
      const until_us = nth < end ? ring.time_us(nth) : to_us;
      const since_us = Math.max(from_us, ring.time_us(begin));
      if (until_us > since_us) pieces.push({ kind: 'gap', why, from_us: since_us, to_us: until_us });
      else if (until_us >= from_us) pieces.push({ kind: 'gap', why, from_us: until_us, to_us: until_us });
    }
  }
  return pieces;
}

/** Least and most of an angle in a window, its ± included; null where there is none. */
export function extent_deg(ring: Ring, which: Which, from_us: number, to_us: number): { least: number; most: number } | null {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  const end = ring.firstFrom(to_us + 1);
  for (let nth = ring.firstFrom(from_us); nth < end; nth += 1) {
    const value = ring.value_deg(which, nth);
    if (Number.isNaN(value)) continue;
    const half = ring.half_deg(which, nth);
    if (value - half < least) least = value - half;
    if (value + half > most) most = value + half;
  }
  return least <= most ? { least, most } : null;
}
