import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { age, count, decimalSign, expandedNumber, FACE, figureWidth_em, hasSign, MINUS, NO_NUMBER, percent, plain, rate, readDeg, seconds, short, signed, signedNumber, type Locale } from '../src/format/numbers';
import { dayAndTime, timeOnly } from '../src/format/times';

const LOCALES: readonly Locale[] = ['en-GB', 'de-DE'];
const locales = fc.constantFrom(...LOCALES);

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
    expect(signedNumber(value, decimals, 'en-GB')).toBe(text);
    expect(signedNumber(value, decimals, 'de-DE')).toBe(text.replace('.', ','));
  });

  it('part their decimals by what the language has for it', () => {
    // CLDR, by the engine that runs this.
    const known = (locale: Locale) => new Intl.NumberFormat(locale).formatToParts(1.5).find(({ type }) => type === 'decimal')?.value;
    expect(LOCALES.map(decimalSign)).toEqual(LOCALES.map(known));
    expect(LOCALES.map(decimalSign)).toEqual(['.', ',']);
  });

  it('never uses the hyphen, and carries a sign exactly when the digits are not all zero', () => {
    fc.assert(
      fc.property(angle, fc.integer({ min: 0, max: 3 }), locales, (value, decimals, locale) => {
        const { sign, digits } = signed(value, decimals, locale);
        expect(sign + digits).not.toContain('-');
        expect(sign === '').toBe(readDeg(digits) === 0);
      }),
    );
  });

  it('reads back to within half of the last digit', () => {
    fc.assert(
      fc.property(angle, fc.integer({ min: 0, max: 4 }), locales, (value, decimals, locale) => {
        for (const text of [signedNumber(value, decimals, locale), plain(value, decimals, locale)]) {
          const back = readDeg(text);
          expect(back).not.toBeNull();
          expect(Math.abs((back ?? 0) - value)).toBeLessThanOrEqual(0.5 * 10 ** -decimals + 1e-9);
        }
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
  ])('%f is shown as %s', (value, text) => {
    expect(expandedNumber(value, 2, 'en-GB')).toBe(text);
    expect(expandedNumber(value, 2, 'de-DE')).toBe(text.replace('.', ','));
  });

  it('are never shown smaller than they are', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 45, noNaN: true }), fc.integer({ min: 0, max: 4 }), locales, (value, decimals, locale) => {
        const shown = readDeg(expandedNumber(value, decimals, locale)) ?? -1;
        expect(shown).toBeGreaterThanOrEqual(value - 1e-5 * 10 ** -decimals);
        expect(shown).toBeLessThan(value + 10 ** -decimals + 1e-9);
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
    expect(rate(199.6, 'en-GB')).toBe('200');
    expect(rate(4.26, 'en-GB')).toBe('4.3');
    expect(rate(4.26, 'de-DE')).toBe('4,3');
    expect(percent(0.541)).toBe('54\u00a0%');
    expect(percent(1.7)).toBe('100\u00a0%');
    expect(seconds(2.34, 'en-GB')).toBe('2.3');
    expect(seconds(2.34, 'de-DE')).toBe('2,3');
    expect(plain(23.4, 1, 'en-GB')).toBe('23.4');
    expect(plain(-3.2, 1, 'de-DE')).toBe(`${MINUS}3,2`);
    expect([rate(NaN, 'de-DE'), percent(NaN), seconds(NaN, 'de-DE'), age(NaN), short(NaN, 'de-DE')]).toEqual(Array(5).fill(NO_NUMBER));
  });

  it.each([
    [180, '180', '180'],
    [2.5, '2.5', '2,5'],
    [-1.25, '\u22121.25', '\u22121,25'],
    [0.1 + 0.2, '0.3', '0,3'],
    [0.0000005, '0.0000005', '0,0000005'],
    [0, '0', '0'],
  ])('%d is typed back as %s, in German %s', (value, english, german) => {
    expect(short(value, 'en-GB')).toBe(english);
    expect(short(value, 'de-DE')).toBe(german);
  });

  it('types back what was kept, to its last digit that counts', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), locales, (value, locale) => {
        const back = readDeg(short(value, locale));
        expect(back).not.toBeNull();
        expect(Math.abs((back ?? 0) - value)).toBeLessThanOrEqual(Math.abs(value) * 1e-11 + 1e-20);
      }),
    );
  });

  it('says days and times in the language, and what is no time as it came', () => {
    const at = '2026-11-05T14:05:00';
    expect([timeOnly(at, 'en-GB'), timeOnly(at, 'de-DE')]).toEqual(['14:05', '14:05']);
    expect(dayAndTime(at, 'en-GB')).toContain('Nov');
    expect(dayAndTime(at, 'de-DE')).toContain('05.11.2026');
    expect(timeOnly('soon', 'de-DE')).toBe('soon');
  });
});

describe('room for a figure', () => {
  it('is the same with and without a sign, and grows with every digit', () => {
    expect(figureWidth_em(signed(-1.25, 2, 'en-GB').digits)).toBe(figureWidth_em(signed(0, 2, 'en-GB').digits));
    expect(figureWidth_em('12.50') - figureWidth_em('2.50')).toBeCloseTo(FACE.digit_em, 9);
  });

  it('takes a comma for a point', () => {
    fc.assert(
      fc.property(angle, fc.integer({ min: 0, max: 3 }), (value, decimals) => {
        expect(figureWidth_em(signed(value, decimals, 'de-DE').digits)).toBe(figureWidth_em(signed(value, decimals, 'en-GB').digits));
      }),
    );
  });

  it('sets a degree or minute sign narrower than a digit', () => {
    const [plain_em, minutes_em] = [figureWidth_em('115'), figureWidth_em('1°15\u2032')];
    expect(minutes_em).toBeGreaterThan(plain_em);
    expect(minutes_em).toBeLessThan(figureWidth_em('1150'));
  });
});
