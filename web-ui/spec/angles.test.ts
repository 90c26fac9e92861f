import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { angleExpanded, angleText, readAngle } from '../src/format/angles';

describe('an angle that is typed', () => {
  // One degree is sixty minutes, one minute sixty seconds (SI Brochure, table of units accepted for use with the SI).
  it.each([
    ['1.5', 1.5],
    ['1,5', 1.5],
    ['−1,5°', -1.5],
    ["1°30'", 1.5],
    ['1°30′', 1.5],
    ['1° 30', 1.5],
    ["-0°30'", -0.5],
    ["30'", 0.5],
    ["+0°06'", 0.1],
    ["2°15'36\"", 2.26],
    ["0°00'", 0],
    ["-0°0'", 0],
    ["1°07,5'", 1.125],
  ])('%s is %d°', (typed, degrees) => {
    expect(readAngle(typed)).toBeCloseTo(degrees, 12);
  });

  it.each(['', '°', "'", "1°60'", "1°30'75\"", 'one', '1.5.2', "1'30°", '1,2,3', "1.5°30'x", '--1'])('%s is none', (typed) => {
    expect(readAngle(typed)).toBeNull();
  });

  it('is never minus zero', () => {
    for (const typed of ['-0', "-0°0'", '−0,0']) expect(Object.is(readAngle(typed), 0)).toBe(true);
  });
});

describe('an angle that is shown', () => {
  it.each([
    [1.5, 'degrees', '+1.50°'],
    [1.5, 'minutes', '+1°30′'],
    [-0.1, 'minutes', '−0°06′'],
    [0.001, 'minutes', '0°00′'],
    [-0.001, 'degrees', '0.00°'],
    [0.9999, 'minutes', '+1°00′'],
    [Number.NaN, 'minutes', '–'],
  ] as const)('%d in %s is %s', (degrees, notation, text) => {
    expect(angleText(degrees, notation)).toBe(text);
  });

  it('is read back within half a minute', () => {
    fc.assert(
      fc.property(fc.double({ min: -45, max: 45, noNaN: true }), (degrees) => {
        const read = readAngle(angleText(degrees, 'minutes'));
        expect(read).not.toBeNull();
        expect(Math.abs((read ?? 0) - degrees)).toBeLessThanOrEqual(0.5 / 60 + 1e-9);
      }),
    );
  });

  it('never claims a smaller uncertainty', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 5, noNaN: true }), (expanded) => {
        for (const notation of ['degrees', 'minutes'] as const) {
          expect(readAngle(angleExpanded(expanded, notation)) ?? -1).toBeGreaterThanOrEqual(expanded - 1e-6);
        }
      }),
    );
  });
});
