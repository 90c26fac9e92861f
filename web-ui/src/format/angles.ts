// Angles in degrees or in degrees and minutes, to text and back.
import { decimalSign, expandedNumber, MINUS, NO_NUMBER, readDeg, signed, type Locale, type SignedText } from './numbers';

/** How angles are shown. */
export type Notation = 'degrees' | 'minutes';

const FEET = /['\u2032\u2019]/;

/**
 * Reads an angle as it is typed: `1.5`, `1,5°`, `-0°30'`, `1°30`, `30'`. A sign stands
 * before all of it. Null when it is no angle; minutes and seconds end below sixty.
 */
export function readAngle(typed: string): number | null {
  const text = typed
    .replace(/[\s\u00a0\u202f]/g, '')
    .replace(/[\u2212\u2013]/g, '-')
    .replace(/''|[\u2033\u201d]/g, '"');
  const bare = text.replace(/°$/, '');
  if (!/[°"]/.test(bare) && !FEET.test(bare)) return readDeg(bare);
  const parts = /^([+-]?)(?:(\d+)°)?(?:(\d+(?:[.,]\d+)?)['\u2032\u2019]?)?(?:(\d+(?:[.,]\d+)?)")?$/.exec(text);
  if (!parts || (parts[2] === undefined && !FEET.test(text))) return null;
  const [, sign, degrees, minutes, seconds] = parts;
  const number = (part: string | undefined): number => (part === undefined ? 0 : Number(part.replace(',', '.')));
  const [whole_deg, minutes_min, seconds_s] = [number(degrees), number(minutes), number(seconds)];
  if (degrees === undefined && minutes === undefined) return null;
  if (degrees !== undefined && (minutes_min >= 60 || seconds_s >= 60)) return null;
  const size_deg = whole_deg + minutes_min / 60 + seconds_s / 3600;
  return sign === '-' && size_deg !== 0 ? -size_deg : size_deg;
}

/** How an angle is written. */
export interface AngleStyle {
  notation: Notation;
  locale: Locale;
}

/** In minutes, the hundredths of a degree are not written; the thousandths are tenths of a minute. */
const minuteDecimals = (decimals: number): number => Math.max(0, decimals - 2);

/** A whole number of minutes, or of tenths of them, as degrees and minutes: "1°05′". */
function inMinutes(units: number, decimals: number, locale: Locale): string {
  const scale = 10 ** decimals;
  const degrees = Math.floor(units / (60 * scale));
  const minutes = ((units % (60 * scale)) / scale).toFixed(decimals).padStart(decimals === 0 ? 2 : decimals + 3, '0');
  return `${degrees}°${minutes.replace('.', decimalSign(locale))}\u2032`;
}

/** Sign and size of an angle apart, the size with its unit: "1.25°" or "1°15′". */
export function angleParts(value_deg: number, { notation, locale }: AngleStyle, decimals = 2): SignedText {
  if (!Number.isFinite(value_deg)) return { sign: '', digits: NO_NUMBER };
  if (notation === 'degrees') {
    const { sign, digits } = signed(value_deg, decimals, locale);
    return { sign, digits: `${digits}°` };
  }
  const finer = minuteDecimals(decimals);
  const units = Math.round(Math.abs(value_deg) * 60 * 10 ** finer);
  return { sign: units === 0 ? '' : value_deg < 0 ? MINUS : '+', digits: inMinutes(units, finer, locale) };
}

/** An angle with its sign and unit: "+1.25°" or "+1°15′". */
export function angleText(value_deg: number, style: AngleStyle, decimals = 2): string {
  const { sign, digits } = angleParts(value_deg, style, decimals);
  return sign + digits;
}

/** An uncertainty, rounded up, with its unit: "0.07°" or "0°05′". */
export function angleExpanded(expanded_deg: number, { notation, locale }: AngleStyle, decimals = 2): string {
  if (!Number.isFinite(expanded_deg)) return NO_NUMBER;
  if (notation === 'degrees') return `${expandedNumber(expanded_deg, decimals, locale)}°`;
  const finer = minuteDecimals(decimals);
  return inMinutes(Math.ceil(expanded_deg * 60 * 10 ** finer - 1e-6), finer, locale);
}
