// Numbers to text and back. Nothing else in the page turns a number into text.

/** The true minus sign: as wide as a figure, unlike the hyphen. */
export const MINUS = '\u2212';
/** Shown where there is no number at all. Never a zero. */
export const NO_NUMBER = '\u2013';

/** Sign and digits apart, so that a view can set the sign smaller. */
export interface SignedText {
  sign: '' | '+' | typeof MINUS;
  digits: string;
}

/** A number that rounds to zero carries no sign: "−0.00" says something that is not known. */
export function signed(value: number, decimals: number): SignedText {
  if (!Number.isFinite(value)) return { sign: '', digits: NO_NUMBER };
  const digits = Math.abs(value).toFixed(decimals);
  if (Number(digits) === 0) return { sign: '', digits };
  return { sign: value < 0 ? MINUS : '+', digits };
}

/** An angle with its sign, no unit: "+1.25", "−0.50", "0.00". */
export function signedDeg(value_deg: number, decimals = 2): string {
  const { sign, digits } = signed(value_deg, decimals);
  return sign + digits;
}

/** An uncertainty, rounded up: what is known is never claimed to be known better. */
export function expandedDeg(expanded_deg: number, decimals = 2): string {
  if (!Number.isFinite(expanded_deg)) return NO_NUMBER;
  const scale = 10 ** decimals;
  // The nudge keeps 0.07 from becoming 0.08 through its binary form.
  return (Math.ceil(expanded_deg * scale - 1e-6) / scale).toFixed(decimals);
}

/** A magnitude without sign, for angles that a word gives the side of. */
export function plainDeg(value_deg: number, decimals = 1): string {
  return signed(value_deg, decimals).digits;
}

/** A number that everybody reads as positive unless a minus says otherwise: temperatures, rates. */
export function plain(value: number, decimals: number): string {
  const { sign, digits } = signed(value, decimals);
  return sign === MINUS ? sign + digits : digits;
}

export function seconds(value_s: number): string {
  return Number.isFinite(value_s) ? value_s.toFixed(1) : NO_NUMBER;
}

/** How old something is: fine at first, coarse later. */
export function age(age_s: number): string {
  if (!Number.isFinite(age_s)) return NO_NUMBER;
  const whole_s = Math.max(0, Math.floor(age_s));
  if (whole_s < 60) return `${whole_s} s`;
  if (whole_s < 3600) return `${Math.floor(whole_s / 60)} min`;
  return `${Math.floor(whole_s / 3600)} h`;
}

export function rate(rate_hz: number): string {
  return Number.isFinite(rate_hz) ? rate_hz.toFixed(rate_hz < 10 ? 1 : 0) : NO_NUMBER;
}

export function percent(share: number): string {
  return Number.isFinite(share) ? `${Math.round(Math.min(1, Math.max(0, share)) * 100)}\u00a0%` : NO_NUMBER;
}

/** Counts in groups of three, parted by a narrow space. */
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

/** Advance widths of the embedded face of figures (src/fonts), in em of its own size. */
export const FACE = { digit_em: 0.503, point_em: 0.285, sign_em: 0.488 } as const;

/** The sign is set at this share of the digits' size. */
export const SIGN_SCALE = 0.65;
/** Room for the raised degree sign, and a little air at the end. */
const DEGREE_EM = 0.15;

/** Room a figure takes, in em of its digits. Always with room for a sign: the size must not jump with it. */
export function figureWidth_em(digits: string): number {
  const points = digits.includes('.') ? 1 : 0;
  return FACE.sign_em * SIGN_SCALE + (digits.length - points) * FACE.digit_em + points * FACE.point_em + DEGREE_EM;
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
