// A curve on paper: measured points with their ±, and the fitted line. `_box` as in plumb.ts.
import type { CurveView } from '../contract/types';

export const CURVE_BOX = { width: 640, height: 300, left: 70, right: 20, top: 14, bottom: 44 } as const;

export interface CurvePicture {
  lines: { place: string; path: string; points: { x_box: number; y_box: number; low_box: number; high_box: number }[] }[];
  /** Marks along and up: where they stand and what they say. */
  along: { at_box: number; value: number }[];
  up: { at_box: number; value: number }[];
}

/** A step of 1, 2 or 5 times a power of ten, so that about `most` marks fit. */
export function markStep(span: number, most: number): number {
  const rough = span / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const [step = 10] = [1, 2, 5, 10].filter((one) => one * power >= rough);
  return step * power;
}

function marks(least: number, most: number, many: number): number[] {
  const step = markStep(most - least, many);
  const first = Math.ceil(least / step - 1e-9);
  const last = Math.floor(most / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, nth) => (first + nth) * step);
}

/** The picture of a curve; null where there is nothing with a width. */
export function curvePicture({ lines }: CurveView): CurvePicture | null {
  const alongs = lines.flatMap(({ points, fitted }) => [...points.map(([along]) => along), ...fitted.map(([along]) => along)]).filter((v): v is number => v !== undefined);
  const ups = lines
    .flatMap(({ points, fitted }) => [...points.flatMap(([, up = 0, half = 0]) => [up - half, up + half]), ...fitted.map(([, up]) => up)])
    .filter((v): v is number => v !== undefined);
  const [left, right, low, high] = [Math.min(...alongs), Math.max(...alongs), Math.min(...ups), Math.max(...ups)];
  if (!(right > left) || !(high > low)) return null;
  const { width, height, ...room } = CURVE_BOX;
  const x = (along: number): number => room.left + ((along - left) / (right - left)) * (width - room.left - room.right);
  const y = (up: number): number => height - room.bottom - ((up - low) / (high - low)) * (height - room.top - room.bottom);
  return {
    lines: lines.map(({ place, points, fitted }) => ({
      place,
      path: fitted.map(([along = 0, up = 0], nth) => `${nth === 0 ? 'M' : 'L'}${x(along).toFixed(1)} ${y(up).toFixed(1)}`).join(''),
      points: points.map(([along = 0, up = 0, half = 0]) => ({ x_box: x(along), y_box: y(up), low_box: y(up - half), high_box: y(up + half) })),
    })),
    along: marks(left, right, 7).map((value) => ({ at_box: x(value), value })),
    up: marks(low, high, 5).map((value) => ({ at_box: y(value), value })),
  };
}
