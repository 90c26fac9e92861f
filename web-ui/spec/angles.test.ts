import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { angleExpanded, angleText, readAngle, type AngleStyle } from '../src/format/angles';
import { expandedText, sizeText, valueText } from '../src/format/quantities';

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

const STYLES: readonly AngleStyle[] = [
  { notation: 'degrees', locale: 'en-GB' },
  { notation: 'degrees', locale: 'de-DE' },
  { notation: 'minutes', locale: 'en-GB' },
  { notation: 'minutes', locale: 'de-DE' },
];
const styles = fc.constantFrom(...STYLES);
/** The last place that is written, in degrees. */
const last_deg = ({ notation }: AngleStyle, decimals: number): number => (notation === 'degrees' ? 10 ** -decimals : 10 ** -Math.max(0, decimals - 2) / 60);

describe('an angle that is shown', () => {
  it.each([
    [1.5, 'degrees', '+1.50°', '+1,50°'],
    [1.5, 'minutes', '+1°30′', '+1°30′'],
    [-0.1, 'minutes', '−0°06′', '−0°06′'],
    [0.001, 'minutes', '0°00′', '0°00′'],
    [-0.001, 'degrees', '0.00°', '0,00°'],
    [0.9999, 'minutes', '+1°00′', '+1°00′'],
    [-12.34, 'degrees', '−12.34°', '−12,34°'],
    [Number.NaN, 'minutes', '–', '–'],
  ] as const)('%d in %s is %s, in German %s', (degrees, notation, english, german) => {
    expect(angleText(degrees, { notation, locale: 'en-GB' })).toBe(english);
    expect(angleText(degrees, { notation, locale: 'de-DE' })).toBe(german);
  });

  it.each([
    [0.0123, '+0°00.7′', '+0°00,7′'],
    [-1.2, '−1°12.0′', '−1°12,0′'],
    [0.99999, '+1°00.0′', '+1°00,0′'],
  ])('%d to three decimals has tenths of minutes: %s', (degrees, english, german) => {
    expect(angleText(degrees, { notation: 'minutes', locale: 'en-GB' }, 3)).toBe(english);
    expect(angleText(degrees, { notation: 'minutes', locale: 'de-DE' }, 3)).toBe(german);
  });

  it('is read back within half of its last place', () => {
    fc.assert(
      fc.property(fc.double({ min: -45, max: 45, noNaN: true }), fc.integer({ min: 1, max: 3 }), styles, (degrees, decimals, style) => {
        const read = readAngle(angleText(degrees, style, decimals));
        expect(read).not.toBeNull();
        expect(Math.abs((read ?? 0) - degrees)).toBeLessThanOrEqual(0.5 * last_deg(style, decimals) + 1e-9);
      }),
    );
  });

  it('never claims a smaller uncertainty', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 5, noNaN: true }), fc.integer({ min: 1, max: 3 }), styles, (expanded, decimals, style) => {
        const read = readAngle(angleExpanded(expanded, style, decimals)) ?? -1;
        expect(read).toBeGreaterThanOrEqual(expanded - 1e-6);
        expect(read).toBeLessThan(expanded + last_deg(style, decimals) + 1e-9);
      }),
    );
  });

  it('never claims more for its size than for its value', () => {
    fc.assert(
      fc.property(fc.double({ min: -45, max: 45, noNaN: true }), styles, (degrees, style) => {
        expect(sizeText(degrees, 'deg', style)).toBe(valueText(degrees, 'deg', style).replace(/^[+\u2212]/, ''));
      }),
    );
  });
});

describe('a figure of another unit', () => {
  it.each([
    [3.25, 'mm', '+3.3\u00a0mm', '+3,3\u00a0mm', 3.21, '3.3\u00a0mm'],
    [-0.0042, 'deg_per_mm', '\u22120.0042°/mm', '\u22120,0042°/mm', 0.00421, '0.0043°/mm'],
    [12, 'percent', '+12\u00a0%', '+12\u00a0%', 11.2, '12\u00a0%'],
  ] as const)('%d %s keeps its unit in either notation', (of, unit, english, german, wide, expanded) => {
    for (const notation of ['degrees', 'minutes'] as const) {
      expect(valueText(of, unit, { notation, locale: 'en-GB' })).toBe(english);
      expect(valueText(of, unit, { notation, locale: 'de-DE' })).toBe(german);
      expect(expandedText(wide, unit, { notation, locale: 'en-GB' })).toBe(expanded);
    }
  });
});
