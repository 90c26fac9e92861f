// From the places of a ring to points on paper. `_px` are pixels of the picture, x right, y down.
import type { Ring, Which } from './ring';
import type { Span } from './span';

/** Where the picture lies and what it shows. */
export interface StripBox {
  left_px: number;
  right_px: number;
  top_px: number;
  bottom_px: number;
  from_us: number;
  to_us: number;
  span: Span;
}

export const xOf = (box: StripBox, at_us: number): number => box.left_px + ((at_us - box.from_us) / (box.to_us - box.from_us)) * (box.right_px - box.left_px);

export const yOf = ({ span, top_px, bottom_px }: StripBox, value_deg: number): number =>
  bottom_px - ((value_deg - span.low_deg) / (span.high_deg - span.low_deg)) * (bottom_px - top_px);

/**
 * What of a line is drawn: one column of pixels at a time, by the first, the least, the most and
 * the last place in it. So a spike of one reading is seen however many share its column, and
 * nothing is averaged. `put` takes points from left to right.
 */
export function drawLine(ring: Ring, which: Which, from: number, to: number, box: StripBox, put: (x_px: number, y_px: number) => void): void {
  let nth = from;
  while (nth < to) {
    const x = xOf(box, ring.time_us(nth));
    const column = Math.floor(x);
    const first = ring.value_deg(which, nth);
    let [least, most, last, end_x] = [first, first, first, x];
    let many = 1;
    nth += 1;
    while (nth < to) {
      const next_x = xOf(box, ring.time_us(nth));
      if (Math.floor(next_x) !== column) break;
      last = ring.value_deg(which, nth);
      if (last < least) least = last;
      if (last > most) most = last;
      end_x = next_x;
      many += 1;
      nth += 1;
    }
    put(x, yOf(box, first));
    if (many > 2 && (least < Math.min(first, last) || most > Math.max(first, last))) {
      put((x + end_x) / 2, yOf(box, least));
      put((x + end_x) / 2, yOf(box, most));
    }
    if (many > 1) put(end_x, yOf(box, last));
  }
}

/** The edge of the band: one point a column is enough for what changes with the motion only. */
export function drawEdge(ring: Ring, which: Which, from: number, to: number, sign: 1 | -1, box: StripBox, put: (x_px: number, y_px: number) => void): void {
  let column = Number.NaN;
  for (let nth = from; nth < to; nth += 1) {
    const x = xOf(box, ring.time_us(nth));
    if (Math.floor(x) === column && nth + 1 < to) continue;
    column = Math.floor(x);
    put(x, yOf(box, ring.value_deg(which, nth) + sign * ring.half_deg(which, nth)));
  }
}
