// A large figure: sign set smaller than the digits, sized by its own width so that it fills its place.
import { figureWidth_em } from '../format/numbers';
import { face } from '../state/face';
import { angleParts, angleSize } from '../state/shown';

interface FigureProps {
  value_deg: number;
  decimals: number;
  /** An angle to leave room for, so that 9.9 and 10.1 are the same size. */
  room_deg?: number;
}

export function Figure({ value_deg, decimals, room_deg = 0 }: FigureProps) {
  const { sign, digits } = angleParts(value_deg, decimals);
  const widest_em = Math.max(figureWidth_em(digits, face()), figureWidth_em(angleSize(room_deg, decimals), face()));
  return (
    <span class="figure" style={{ '--em': widest_em.toFixed(3) }}>
      <span class="sign">{sign}</span>
      {digits.split(/([°\u2032])/).map((part, nth) =>
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
