// Camber over steer while the front wheels turn, on paper. Left is left, as on the tape. `_box` as in plumb.ts.
import type { Span } from './span';
import { spanMarks_deg } from './span';

export interface TraceBox {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
}

/** As wide as the page. */
export const TRACE_BOX: TraceBox = { width: 420, height: 300, left: 58, right: 16, top: 12, bottom: 40 };
/** Upright, beside a figure that needs the width. */
export const SMALL_BOX: TraceBox = { width: 300, height: 370, left: 48, right: 10, top: 12, bottom: 42 };

/** The picture reaches this far to either side at least. */
export const STEER_END_DEG = 25;

/** A stop as a knot with its ±. */
export interface Knot {
  steer_deg: number;
  camber_deg: number;
  expanded_deg: number;
}

/** What is drawn of one wheel. */
export interface WheelTrace {
  mount: string;
  /** Where it went, in pieces that are each unbroken: steer and camber. */
  trail: readonly (readonly (readonly [number, number])[])[];
  knots: readonly Knot[];
  /** Steer and camber by the found axis; empty before. */
  fitted: readonly (readonly number[])[];
  now: readonly [number, number] | null;
}

export interface WheelPicture {
  mount: string;
  trailPath: string;
  fittedPath: string;
  knots: { x_box: number; y_box: number; low_box: number; high_box: number }[];
  now: { x_box: number; y_box: number } | null;
  /** Where its name stands: beside the end of its line. */
  name: { x_box: number; y_box: number; above: boolean } | null;
}

export interface TracePicture {
  wheels: WheelPicture[];
  steer: { at_box: number; value: number }[];
  camber: { at_box: number; value: number }[];
}

const STEER_STEPS_DEG = [10, 20, 30, 45, 60, 90] as const;

/** How far to either side the picture reaches. */
export function reach_deg(wheels: readonly WheelTrace[]): number {
  const all = wheels.flatMap(({ trail, knots, fitted }) => [...trail.flat().map(([steer]) => steer), ...knots.map(({ steer_deg }) => steer_deg), ...fitted.map(([steer = 0]) => steer)]);
  const most = all.reduce((far, steer) => Math.max(far, Math.abs(steer)), STEER_END_DEG);
  return most <= STEER_END_DEG ? STEER_END_DEG : (STEER_STEPS_DEG.find((step) => step >= most) ?? 90);
}

/** Least and most camber of everything drawn, the ± of the knots included. */
export function camberExtent_deg(wheels: readonly WheelTrace[]): { least: number; most: number } | null {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  const take = (low: number, high: number): void => {
    least = Math.min(least, low);
    most = Math.max(most, high);
  };
  for (const { trail, knots, fitted, now } of wheels) {
    for (const piece of trail) for (const [, camber] of piece) take(camber, camber);
    for (const { camber_deg, expanded_deg } of knots) take(camber_deg - expanded_deg, camber_deg + expanded_deg);
    for (const [, camber = 0] of fitted) take(camber, camber);
    if (now !== null) take(now[1], now[1]);
  }
  return least <= most ? { least, most } : null;
}

const path = (points: readonly (readonly [number, number])[]): string =>
  points.map(([x, y], nth) => `${nth === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

/** The picture; null before there is an axis for the camber. */
export function tracePicture(wheels: readonly WheelTrace[], span: Span | null, box: TraceBox = TRACE_BOX): TracePicture | null {
  if (span === null || !(span.high_deg > span.low_deg)) return null;
  const end_deg = reach_deg(wheels);
  const { width, height, ...room } = box;
  const x = (steer: number): number => room.left + ((end_deg - steer) / (2 * end_deg)) * (width - room.left - room.right);
  const y = (camber: number): number => height - room.bottom - ((camber - span.low_deg) / (span.high_deg - span.low_deg)) * (height - room.top - room.bottom);
  const place = ([steer, camber]: readonly [number, number]): readonly [number, number] => [x(steer), y(camber)];
  const most = end_deg <= STEER_END_DEG ? 20 : end_deg;
  const marks = [most, most / 2, 0, -most / 2, -most];
  const drawnWheels = wheels.map(({ mount, trail, knots, fitted, now }) => {
    const drawn = fitted.map(([steer = 0, camber = 0]) => place([steer, camber]));
    const lastKnot = knots.at(-1);
    const head = now ?? (lastKnot === undefined ? null : ([lastKnot.steer_deg, lastKnot.camber_deg] as const));
    // The curve's end on the right side of the paper tells the lines apart best.
    const end = drawn.length === 0 ? (head === null ? null : place(head)) : drawn.reduce((far, one) => (one[0] > far[0] ? one : far));
    return {
      mount,
      trailPath: trail.map((piece) => path(piece.map(place))).join(''),
      fittedPath: path(drawn),
      knots: knots.map(({ steer_deg, camber_deg, expanded_deg }) => ({
        x_box: x(steer_deg),
        y_box: y(camber_deg),
        low_box: y(camber_deg - expanded_deg),
        high_box: y(camber_deg + expanded_deg),
      })),
      now: now === null ? null : { x_box: x(now[0]), y_box: y(now[1]) },
      name: end === null ? null : { x_box: end[0], y_box: end[1], above: true },
    };
  });
  // The name of the upper line stands above it, that of the lower one below: they do not meet.
  const ends = drawnWheels.flatMap(({ name }) => (name === null ? [] : [name]));
  const lowest = Math.max(...ends.map(({ y_box }) => y_box));
  const lower = ends.length > 1 ? ends.findLast(({ y_box }) => y_box === lowest) : undefined;
  if (lower) lower.above = false;
  return {
    wheels: drawnWheels,
    steer: marks.map((value) => ({ at_box: x(value), value })),
    camber: spanMarks_deg(span).map((value) => ({ at_box: y(value), value })),
  };
}
