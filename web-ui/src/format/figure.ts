// What a large figure is made of, whoever draws it.
import { angleExpanded, angleParts, type AngleStyle } from './angles';
import { FACE, figureWidth_em, SIGN_SCALE } from './numbers';

/** Whether the sign is the value's own, the ± of an uncertainty, or told by a word beside it. */
export type Sign = 'own' | '±' | 'none';

export interface FigureParts {
  sign: string;
  /** Digits and marks of degrees and minutes in turn, digits first. */
  parts: string[];
  /** Room that it takes, in em of its digits. */
  width_em: number;
}

/** `room_deg` is an angle to leave room for, so that 9.9 and 10.1 are the same size. */
export function figureParts(value_deg: number, style: AngleStyle, decimals: number, room_deg = 0, sign: Sign = 'own'): FigureParts {
  const own = sign === '±' ? { sign, digits: angleExpanded(value_deg, style) } : angleParts(value_deg, style, decimals);
  const saved_em = sign === 'none' ? FACE.sign_em * SIGN_SCALE : 0;
  const widest_em = Math.max(figureWidth_em(own.digits), figureWidth_em(angleParts(room_deg, style, decimals).digits)) - saved_em;
  return { sign: sign === 'none' ? '' : own.sign, parts: own.digits.split(/([°\u2032])/), width_em: widest_em };
}
