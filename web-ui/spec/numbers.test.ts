import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { age, count, expandedDeg, FACE, figureWidth_em, hasSign, MINUS, NO_NUMBER, percent, plain, rate, readDeg, seconds, signed, signedDeg } from '../src/format/numbers';

const angle = fc.double({ min: -90, max: 90, noNaN: true });

describe('signed angles', () => {
  it.each([
    [-0.5, 2, '\u22120.50'],
    [1.25, 2, '+1.25'],
    [0, 2, '0.00'],
    [-0.004, 2, '0.00'],
    [0.006, 2, '+0.01'],
    [12.345, 1, '+12.3'],
    [Number.NaN, 2, NO_NUMBER],
    [Number.POSITIVE_INFINITY, 2, NO_NUMBER],
  ])('%f with %i decimals is %s', (value, decimals, text) => {
    expect(signedDeg(value, decimals)).toBe(text);
  });

  it('never uses the hyphen, and carries a sign exactly when the digits are not all zero', () => {
    fc.assert(
      fc.property(angle, fc.integer({ min: 0, max: 3 }), (value, decimals) => {
        const { sign, digits } = signed(value, decimals);
        expect(sign + digits).not.toContain('-');
        expect(sign === '').toBe(Number(digits) === 0);
      }),
    );
  });

  it('reads back to within half of the last digit', () => {
    fc.assert(
      fc.property(angle, (value) => {
        const back = readDeg(signedDeg(value, 2));
        expect(back).not.toBeNull();
        expect(Math.abs((back ?? 0) - value)).toBeLessThanOrEqual(0.005 + 1e-9);
      }),
    );
  });
});

describe('uncertainties', () => {
  it.each([
    [0.061, '0.07'],
    [0.07, '0.07'],
    [0.0601, '0.07'],
    [1, '1.00'],
    [0.29, '0.29'],
    [0, '0.00'],
  ])('%f is shown as %s', (value, text) => expect(expandedDeg(value)).toBe(text));

  it('are never shown smaller than they are', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 45, noNaN: true }), (value) => {
        const shown = Number(expandedDeg(value));
        expect(shown).toBeGreaterThanOrEqual(value - 1e-7);
        expect(shown).toBeLessThan(value + 0.01 + 1e-9);
      }),
    );
  });
});

describe('typed angles', () => {
  it.each([
    ['19,5', 19.5],
    ['19.5', 19.5],
    [' 20 ', 20],
    ['-20', -20],
    ['\u221220,25°', -20.25],
    ['+3', 3],
    ['-0', 0],
    ['.5', 0.5],
    ['20.', 20],
  ])('%j reads as %f', (typed, value) => expect(readDeg(typed)).toBe(value));

  it.each(['', '-', '.', '1,2,3', '1.2.3', 'twenty', '2 0x', '1e3', '--2', 'NaN', 'Infinity'])('%j is not a number', (typed) => {
    expect(readDeg(typed)).toBeNull();
  });

  it('comes to the same with comma and point', () => {
    fc.assert(
      fc.property(angle, (value) => {
        const typed = value.toFixed(2);
        expect(readDeg(typed.replace('.', ','))).toBe(readDeg(typed));
      }),
    );
  });

  it('is null or finite, whatever is typed', () => {
    fc.assert(
      fc.property(fc.string(), (typed) => {
        const value = readDeg(typed);
        expect(value === null || Number.isFinite(value)).toBe(true);
      }),
    );
  });

  it.each([
    ['-2', true],
    ['\u22122', true],
    [' +2', true],
    ['2', false],
    ['2-', false],
  ])('%j has a sign: %s', (typed, has) => expect(hasSign(typed)).toBe(has));
});

describe('other numbers', () => {
  it.each([
    [0.2, '0 s'],
    [59.9, '59 s'],
    [60, '1 min'],
    [3600, '1 h'],
    [-3, '0 s'],
  ])('age %f is %s', (age_s, text) => expect(age(age_s)).toBe(text));

  it('groups counts in threes', () => {
    expect(count(1234567)).toBe('1\u202f234\u202f567');
    expect(count(999)).toBe('999');
    fc.assert(
      fc.property(fc.nat(), (n) => {
        expect(Number(count(n).replaceAll('\u202f', ''))).toBe(n);
      }),
    );
  });

  it('words rates, shares, seconds and temperatures', () => {
    expect(rate(199.6)).toBe('200');
    expect(rate(4.26)).toBe('4.3');
    expect(percent(0.541)).toBe('54\u00a0%');
    expect(percent(1.7)).toBe('100\u00a0%');
    expect(seconds(2.34)).toBe('2.3');
    expect(plain(23.4, 1)).toBe('23.4');
    expect(plain(-3.2, 1)).toBe(`${MINUS}3.2`);
    expect([rate(NaN), percent(NaN), seconds(NaN), age(NaN)]).toEqual(Array(4).fill(NO_NUMBER));
  });
});

describe('room for a figure', () => {
  it('is the same with and without a sign, and grows with every digit', () => {
    expect(figureWidth_em(signed(-1.25, 2).digits)).toBe(figureWidth_em(signed(0, 2).digits));
    expect(figureWidth_em('12.50') - figureWidth_em('2.50')).toBeCloseTo(FACE.digit_em, 9);
  });
});
