// Numbers to text and back. Nothing else in the page turns a number into text.
//
// Figures are rounded here and only their decimal sign is the locale's: what is rounded up must be
// rounded up in every language. Numbers for SVG and CSS do not go through here.

/** The ways of writing numbers that the page has: one for each of its languages. */
export type Locale = 'en-GB' | 'de-DE';

/** The true minus sign: as wide as a figure, unlike the hyphen. */
export const MINUS = '\u2212';
/** Shown where there is no number at all. Never a zero. */
export const NO_NUMBER = '\u2013';

/**
 * What parts the decimals. Written down, and held by a test against what the browser knows: asking it costs a slow
 * tablet a third of the time that the first drawing takes.
 */
const DECIMAL_SIGN: Record<Locale, string> = { 'en-GB': '.', 'de-DE': ',' };

export const decimalSign = (locale: Locale): string => DECIMAL_SIGN[locale];

/** Digits as the program writes them, in the locale's way. */
function local(digits: string, locale: Locale): string {
  return digits.replace('.', decimalSign(locale));
}

/** Sign and digits apart, so that a view can set the sign smaller. */
export interface SignedText {
  sign: '' | '+' | typeof MINUS;
  digits: string;
}

/** A number that rounds to zero carries no sign: "−0.00" says something that is not known. */
export function signed(value: number, decimals: number, locale: Locale): SignedText {
  if (!Number.isFinite(value)) return { sign: '', digits: NO_NUMBER };
  const digits = Math.abs(value).toFixed(decimals);
  const sign = Number(digits) === 0 ? '' : value < 0 ? MINUS : '+';
  return { sign, digits: local(digits, locale) };
}

/** A number with its sign, no unit: "+1.25", "−0.50", "0.00". */
export function signedNumber(value: number, decimals: number, locale: Locale): string {
  const { sign, digits } = signed(value, decimals, locale);
  return sign + digits;
}

/** An uncertainty, rounded up: what is known is never claimed to be known better. */
export function expandedNumber(expanded: number, decimals: number, locale: Locale): string {
  if (!Number.isFinite(expanded)) return NO_NUMBER;
  const scale = 10 ** decimals;
  // The nudge keeps 0.07 from becoming 0.08 through its binary form.
  return local((Math.ceil(expanded * scale - 1e-6) / scale).toFixed(decimals), locale);
}

/** A number that everybody reads as positive unless a minus says otherwise: temperatures, rates. */
export function plain(value: number, decimals: number, locale: Locale): string {
  const { sign, digits } = signed(value, decimals, locale);
  return sign === MINUS ? sign + digits : digits;
}

/** A number with as many decimals as it was given, and no more: what somebody typed once, a mark of a scale. */
export function short(value: number, locale: Locale): string {
  if (!Number.isFinite(value)) return NO_NUMBER;
  const rounded = Number(value.toPrecision(12));
  // Exponents are for programs: what is that small is written out.
  const text = String(Math.abs(rounded));
  const digits = text.includes('e') ? Math.abs(rounded).toFixed(Math.abs(rounded) < 1 ? 20 : 0).replace(/(\.\d*?)0+$/, '$1').replace(/\.$/, '') : text;
  return (rounded < 0 ? MINUS : '') + local(digits, locale);
}

export function seconds(value_s: number, locale: Locale): string {
  return Number.isFinite(value_s) ? local(value_s.toFixed(1), locale) : NO_NUMBER;
}

/** How old something is: fine at first, coarse later. */
export function age(age_s: number): string {
  if (!Number.isFinite(age_s)) return NO_NUMBER;
  const whole_s = Math.max(0, Math.floor(age_s));
  if (whole_s < 60) return `${whole_s} s`;
  if (whole_s < 3600) return `${Math.floor(whole_s / 60)} min`;
  return `${Math.floor(whole_s / 3600)} h`;
}

export function rate(rate_hz: number, locale: Locale): string {
  return Number.isFinite(rate_hz) ? local(rate_hz.toFixed(rate_hz < 10 ? 1 : 0), locale) : NO_NUMBER;
}

export function percent(share: number): string {
  return Number.isFinite(share) ? `${Math.round(Math.min(1, Math.max(0, share)) * 100)}\u00a0%` : NO_NUMBER;
}

/** Counts in groups of three, parted by a narrow space: a point or a comma there is a decimal sign to somebody. */
export function count(value: number): string {
  return Math.trunc(value).toString().replace(/\B(?=(\d{3})+$)/g, '\u202f');
}

/**
 * Reads an angle that somebody typed: decimal comma or point, hyphen or minus,
 * a degree sign or blanks around it. Null when it is not a number.
 */
export function readDeg(typed: string): number | null {
  const plain = typed
    .replace(/[\s\u00a0\u202f°]/g, '')
    .replace(/[\u2212\u2013]/g, '-')
    .replace(',', '.');
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain)) return null;
  const value_deg = Number(plain);
  return value_deg === 0 ? 0 : value_deg;
}

/** Did somebody type the sign, or only the figure? */
export function hasSign(typed: string): boolean {
  return /^\s*[+\-\u2212\u2013]/.test(typed);
}

/** Advance widths of the embedded face of figures (src/fonts), in em of its own size; point and comma are taken alike. */
export const FACE = { digit_em: 0.503, point_em: 0.285, sign_em: 0.488 } as const;

/** The sign is set at this share of the digits' size. */
export const SIGN_SCALE = 0.65;
/** Room for a raised degree or minute sign. */
const MARK_EM = 0.15;

/**
 * Room a figure takes, in em of its digits: "1.25°", "1,25°", "1°15′". Always with room for a
 * sign: the size must not jump with it.
 */
export function figureWidth_em(text: string): number {
  const points = text.match(/[.,]/g)?.length ?? 0;
  const marks = text.match(/[°\u2032]/g)?.length ?? 0;
  return FACE.sign_em * SIGN_SCALE + (text.length - points - marks) * FACE.digit_em + points * FACE.point_em + marks * MARK_EM;
}

/** Upper bounds of the advance widths of that face's letters, in em; what is in none of them is as wide as a figure. */
const WIDTHS: readonly (readonly [string, number])[] = [
  ['jilI!\u2019,;:. ', 0.3],
  ['tfr()-/', 0.36],
  ['STYRßKBXPDCUÜVGAÄ', 0.6],
  ['OQÖNHw%', 0.66],
  ['mMW', 0.8],
];

/** Room that words take in the face of figures, in em: never less than they need. */
export function wordsWidth_em(words: string): number {
  const width_em = (letter: string): number => WIDTHS.find(([letters]) => letters.includes(letter))?.[1] ?? 0.53;
  return [...words].reduce((sum_em, letter) => sum_em + width_em(letter), 0);
}
