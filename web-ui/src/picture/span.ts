// The value axis of a strip: a span of degrees that is easy to read and stays where it is.

export interface Span {
  low_deg: number;
  high_deg: number;
}

/** Widths that an axis may have; each is parted into four. */
export const WIDTHS_DEG: readonly number[] = [0.4, 0.8, 2, 4, 8, 20, 40, 80, 200, 400];
export const PARTS = 4;

/** What is shown takes at most this share of a new axis, so that it does not leave it at once. */
const SHARE = 0.7;
/** An axis is given up as too wide when what is shown takes less than this share of it. */
const TOO_WIDE = 0.12;

function spanFor(least: number, most: number): Span {
  const wanted = (most - least) / SHARE;
  const width = WIDTHS_DEG.find((one) => one >= wanted) ?? (WIDTHS_DEG.at(-1) as number);
  const step = width / PARTS;
  const middle = Math.round((least + most) / 2 / step);
  // Rounded, so that an end is the figure that is written beside it.
  const end = (parts: number): number => Number(((middle + parts) * step).toFixed(6)) + 0;
  return { low_deg: end(-PARTS / 2), high_deg: end(PARTS / 2) };
}

const widthOf = ({ low_deg, high_deg }: Span): number => high_deg - low_deg;

/**
 * The axis for what is shown. It stays as it was while everything fits and takes a fair share of
 * it; so it moves when something leaves it, and narrows only when it has become far too wide.
 */
export function settledSpan(before: Span | null, shown: { least: number; most: number } | null): Span | null {
  if (shown === null) return before;
  const { least, most } = shown;
  if (before !== null && least >= before.low_deg && most <= before.high_deg) {
    const narrowest = widthOf(before) <= (WIDTHS_DEG[0] as number) * 1.001;
    if (narrowest || most - least >= widthOf(before) * TOO_WIDE) return before;
  }
  return spanFor(least, most);
}

/** Marks of an axis, from its foot to its head. */
export function spanMarks_deg({ low_deg, high_deg }: Span): number[] {
  const step = (high_deg - low_deg) / PARTS;
  // Rounded, so that a mark at nothing is 0 and not what adding up left of it.
  return Array.from({ length: PARTS + 1 }, (_, nth) => Number((low_deg + nth * step).toFixed(6)) + 0);
}

/** Decimals that the marks of an axis need. */
export function markDecimals(span: Span): number {
  const step = widthOf(span) / PARTS;
  return [0, 1].find((decimals) => Number.isInteger(Number((step * 10 ** decimals).toFixed(6)))) ?? 2;
}
