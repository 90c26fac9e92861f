// Findings of every unit to text.
import type { CheckUnit, Unit } from '../contract/types';
import { angleExpanded, angleText, type Notation } from './angles';
import { expandedDeg, signedDeg } from './numbers';

const DECIMALS: Record<Unit, number> = { deg: 2, mm: 1, percent: 0, deg_per_mm: 4 };
const SIGN: Record<Exclude<Unit, 'deg'>, string> = { mm: '\u00a0mm', percent: '\u00a0%', deg_per_mm: '°/mm' };

/** How what a check found is written; it may come finer than findings of a visit. */
export const CHECK_UNIT: Record<CheckUnit, { sign: string; decimals: number }> = {
  deg: { sign: '°', decimals: 2 },
  deg_per_mm: { sign: '°/mm', decimals: 4 },
  deg_per_mm2: { sign: '°/mm²', decimals: 6 },
};

/** A value with sign and unit. */
export function valueText(value: number, unit: Unit, notation: Notation): string {
  return unit === 'deg' ? angleText(value, notation) : signedDeg(value, DECIMALS[unit]) + SIGN[unit];
}

/** Half width of an interval with its unit, rounded up. */
export function expandedText(expanded: number, unit: Unit, notation: Notation): string {
  return unit === 'deg' ? angleExpanded(expanded, notation) : expandedDeg(expanded, DECIMALS[unit]) + SIGN[unit];
}

/** "1.5e-3" never reaches a field; a figure that is kept is typed back as it was meant. */
export function typedNumber(value: number): string {
  return String(Number(value.toPrecision(12)));
}
