// A large figure: sign set smaller than the digits, sized by its own width so that it fills its place.
import { FACE, figureWidth_em, SIGN_SCALE, signed } from '../format/numbers';

interface FigureProps {
  value_deg: number;
  decimals: number;
  /** A text to leave room for, so that 9.9 and 10.1 are the same size. */
  room?: string;
  /** Whether the sign is the value's own, ±, or told by a word beside it. */
  sign?: 'own' | '±' | 'none';
}

export function Figure({ value_deg, decimals, room = '', sign = 'own' }: FigureProps) {
  const own = signed(value_deg, decimals);
  const saved_em = sign === 'none' ? FACE.sign_em * SIGN_SCALE : 0;
  const widest_em = Math.max(figureWidth_em(own.digits), figureWidth_em(room)) - saved_em;
  return (
    <span class="figure" style={{ '--em': widest_em.toFixed(3) }}>
      {sign !== 'none' && <span class="sign">{sign === '±' ? sign : own.sign}</span>}
      {own.digits}
      <span class="degree">°</span>
    </span>
  );
}
