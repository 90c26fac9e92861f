// Findings of every unit to text.
import type { CheckUnit, Unit } from '../contract/types';
import { angleExpanded, angleParts, angleText, type AngleStyle } from './angles';
import { expandedNumber, signed, signedNumber } from './numbers';

/** Every unit a figure of the daemon comes in. */
export type AnyUnit = Unit | CheckUnit;

/** Angles are written in the notation that was chosen; how the others are written. */
const WRITTEN: Record<Exclude<AnyUnit, 'deg'>, { sign: string; decimals: number }> = {
  mm: { sign: '\u00a0mm', decimals: 1 },
  percent: { sign: '\u00a0%', decimals: 0 },
  deg_per_mm: { sign: '°/mm', decimals: 4 },
  deg_per_mm2: { sign: '°/mm²', decimals: 6 },
};

/** A value with sign and unit. */
export function valueText(value: number, unit: AnyUnit, style: AngleStyle): string {
  if (unit === 'deg') return angleText(value, style);
  const { sign, decimals } = WRITTEN[unit];
  return signedNumber(value, decimals, style.locale) + sign;
}

/** How large a value is, without its sign: what is left to go, how far apart two may be. */
export function sizeText(value: number, unit: AnyUnit, style: AngleStyle): string {
  if (unit === 'deg') return angleParts(value, style).digits;
  const { sign, decimals } = WRITTEN[unit];
  return signed(value, decimals, style.locale).digits + sign;
}

/** Half width of an interval with its unit, rounded up. */
export function expandedText(expanded: number, unit: AnyUnit, style: AngleStyle): string {
  if (unit === 'deg') return angleExpanded(expanded, style);
  const { sign, decimals } = WRITTEN[unit];
  return expandedNumber(expanded, decimals, style.locale) + sign;
}
