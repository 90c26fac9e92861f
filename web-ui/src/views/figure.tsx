// A large figure: sign set smaller than the digits, sized by its own width so that it fills its place.
import { FACE, figureWidth_em, SIGN_SCALE } from '../format/numbers';
import { angleParts, angleSize, expandedAngle } from '../state/shown';

interface FigureProps {
  value_deg: number;
  decimals: number;
  /** An angle to leave room for, so that 9.9 and 10.1 are the same size. */
  room_deg?: number;
  /** Whether the sign is the value's own, the ± of an uncertainty, or told by a word beside it. */
  sign?: 'own' | '±' | 'none';
}

export function Figure({ value_deg, decimals, room_deg = 0, sign = 'own' }: FigureProps) {
  const own = sign === '±' ? { sign, digits: expandedAngle(value_deg) } : angleParts(value_deg, decimals);
  const saved_em = sign === 'none' ? FACE.sign_em * SIGN_SCALE : 0;
  const widest_em = Math.max(figureWidth_em(own.digits), figureWidth_em(angleSize(room_deg, decimals))) - saved_em;
  return (
    <span class="figure" style={{ '--em': widest_em.toFixed(3) }}>
      {sign !== 'none' && <span class="sign">{own.sign}</span>}
      {own.digits.split(/([°\u2032])/).map((part, nth) =>
        nth % 2 === 0 ? (
          part
        ) : (
          <span class="degree" key={nth}>
            {part}
          </span>
        ),
      )}
    </span>
  );
}
