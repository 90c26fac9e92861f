// A large figure: sign set smaller than the digits, sized by its own width so that it fills its place.
import { figureWidth_em, signed } from '../format/numbers';

interface FigureProps {
  value_deg: number;
  decimals: number;
  /** A text to leave room for, so that 9.9 and 10.1 are the same size. */
  room?: string;
}

export function Figure({ value_deg, decimals, room = '' }: FigureProps) {
  const { sign, digits } = signed(value_deg, decimals);
  const widest_em = Math.max(figureWidth_em(digits), figureWidth_em(room));
  return (
    <span class="figure" style={{ '--em': widest_em.toFixed(3) }}>
      <span class="sign">{sign}</span>
      {digits}
      <span class="degree">°</span>
    </span>
  );
}
