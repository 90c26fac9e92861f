// A QR code as one path. Pure.

/** Free modules that the standard (ISO/IEC 18004) wants on every side. */
export const QUIET = 4;

/** The side of the drawing, in modules. */
export const codeSide = (rows: readonly string[]): number => rows.length + 2 * QUIET;

/** The dark modules: each run of them in a row is one rectangle, so that no seam shows between two. */
export function codePath(rows: readonly string[]): string {
  return rows.flatMap((row, y) => [...row.matchAll(/1+/g)].map(({ index, 0: run }) => `M${index + QUIET} ${y + QUIET}h${run.length}v1h${-run.length}z`)).join('');
}
