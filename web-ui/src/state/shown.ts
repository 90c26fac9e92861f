// Numbers, angles and times as this tablet shows them: in its language and its notation of angles.
// Views write every number with these, so that they draw anew when one of the two is chosen otherwise.
import type { AnyUnit } from '../format/quantities';
import * as quantities from '../format/quantities';
import * as angles from '../format/angles';
import * as figures from '../format/figure';
import * as numbers from '../format/numbers';
import * as times from '../format/times';
import { locale } from './language';
import { notation } from './notation';

export { age, count, percent } from '../format/numbers';

const style = (): angles.AngleStyle => ({ notation: notation.value, locale: locale.value });

/** An angle with its sign and unit. */
export const angle = (value_deg: number, decimals?: number): string => angles.angleText(value_deg, style(), decimals);
/** Sign and size of an angle apart. */
export const angleParts = (value_deg: number, decimals?: number): numbers.SignedText => angles.angleParts(value_deg, style(), decimals);
/** An angle without its sign, where a word gives the side, with its unit. */
export const angleSize = (value_deg: number, decimals?: number): string => angleParts(value_deg, decimals).digits;
/** The uncertainty of an angle, rounded up, with its unit. */
export const expandedAngle = (expanded_deg: number, decimals?: number): string => angles.angleExpanded(expanded_deg, style(), decimals);

/** What a large figure is made of. */
export const figureParts = (value_deg: number, decimals: number, room_deg?: number, sign?: figures.Sign): figures.FigureParts =>
  figures.figureParts(value_deg, style(), decimals, room_deg, sign);

/** A value of any unit, with its sign and unit. */
export const value = (of: number, unit: AnyUnit): string => quantities.valueText(of, unit, style());
/** A value of any unit, without its sign. */
export const valueSize = (of: number, unit: AnyUnit): string => quantities.sizeText(of, unit, style());
/** The uncertainty of a value, rounded up, with its unit. */
export const expandedValue = (expanded: number, unit: AnyUnit): string => quantities.expandedText(expanded, unit, style());

/** A number with its sign, no unit. */
export const signedNumber = (of: number, decimals: number): string => numbers.signedNumber(of, decimals, locale.value);
/** A number that is read as positive unless a minus says otherwise. */
export const plain = (of: number, decimals: number): string => numbers.plain(of, decimals, locale.value);
/** A number as it was typed, or the mark of a scale. */
export const short = (of: number): string => numbers.short(of, locale.value);
export const seconds = (value_s: number): string => numbers.seconds(value_s, locale.value);
export const rate = (rate_hz: number): string => numbers.rate(rate_hz, locale.value);

export const dayAndTime = (at: string): string => times.dayAndTime(at, locale.value);
export const dayOnly = (at: string): string => times.dayOnly(at, locale.value);
export const timeOnly = (at: string): string => times.timeOnly(at, locale.value);
