// The drawn code has exactly the modules that the daemon told.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { codePath, codeSide, QUIET } from '../src/picture/code';

/** The modules that a path of rectangles covers. */
function covered(path: string, side: number): string[] {
  const dark = Array.from({ length: side }, () => Array.from({ length: side }, () => '0'));
  for (const [, x, y, width] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)) {
    for (let at = Number(x); at < Number(x) + Number(width); at += 1) (dark[Number(y)] as string[])[at] = '1';
  }
  return dark.map((row) => row.join(''));
}

describe('the code', () => {
  it('is drawn module for module, with free ones around it', () => {
    const rows = fc.integer({ min: 1, max: 30 }).chain((size) => fc.array(fc.array(fc.boolean(), { minLength: size, maxLength: size }), { minLength: size, maxLength: size }));
    fc.assert(
      fc.property(rows, (modules) => {
        const told = modules.map((row) => row.map((dark) => (dark ? '1' : '0')).join(''));
        const side = codeSide(told);
        const drawn = covered(codePath(told), side);
        const free = '0'.repeat(side);
        expect(drawn.slice(0, QUIET)).toEqual(Array(QUIET).fill(free));
        expect(drawn.slice(-QUIET)).toEqual(Array(QUIET).fill(free));
        expect(drawn.slice(QUIET, -QUIET)).toEqual(told.map((row) => `0000${row}0000`));
      }),
    );
  });
});
