// A large figure: sign set smaller than the digits, sized by its own width so that it fills its place.
import type { Sign } from '../format/figure';
import { figureParts } from '../state/shown';

interface FigureProps {
  value_deg: number;
  decimals: number;
  /** An angle to leave room for, so that 9.9 and 10.1 are the same size. */
  room_deg?: number;
  sign?: Sign;
}

export function Figure({ value_deg, decimals, room_deg, sign = 'own' }: FigureProps) {
  const own = figureParts(value_deg, decimals, room_deg, sign);
  return (
    <span class="figure" style={{ '--em': own.width_em.toFixed(3) }}>
      {sign !== 'none' && <span class="sign">{own.sign}</span>}
      {own.parts.map((part, nth) =>
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
