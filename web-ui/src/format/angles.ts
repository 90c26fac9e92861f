// Angles in degrees or in degrees and minutes, to text and back.
import { expandedDeg, MINUS, NO_NUMBER, readDeg, signed } from './numbers';

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

/** Whole minutes as degrees and minutes: "1°05′". */
function inMinutes(minutes: number): string {
  return `${Math.floor(minutes / 60)}°${String(minutes % 60).padStart(2, '0')}\u2032`;
}

/** An angle with its sign and unit: "+1.25°" or "+1°15′". */
export function angleText(value_deg: number, notation: Notation, decimals = 2): string {
  if (!Number.isFinite(value_deg)) return NO_NUMBER;
  if (notation === 'degrees') {
    const { sign, digits } = signed(value_deg, decimals);
    return `${sign}${digits}°`;
  }
  const minutes = Math.round(Math.abs(value_deg) * 60);
  const sign = minutes === 0 ? '' : value_deg < 0 ? MINUS : '+';
  return sign + inMinutes(minutes);
}

/** An uncertainty, rounded up, with its unit: "0.07°" or "0°05′". */
export function angleExpanded(expanded_deg: number, notation: Notation, decimals = 2): string {
  if (!Number.isFinite(expanded_deg)) return NO_NUMBER;
  if (notation === 'degrees') return `${expandedDeg(expanded_deg, decimals)}°`;
  return inMinutes(Math.ceil(expanded_deg * 60 - 1e-6));
}
