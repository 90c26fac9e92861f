// The steer tape: where the wheels stand and where they have rested, left is left.
import type { RestView } from '../contract/types';
import { placeOnTape_share, TAPE_MARKS_DEG } from '../picture/tape';

const place = (steer_deg: number) => ({ left: `${placeOnTape_share(steer_deg) * 100}%` });

/** Mean steer angle of a rest over its wheels; none without a gyro. */
function meanSteer_deg(rest: RestView): number | null {
  const known = rest.wheels.flatMap((wheel) => (wheel.steer_deg == null ? [] : [wheel.steer_deg]));
  return known.length === 0 ? null : known.reduce((sum, steer_deg) => sum + steer_deg, 0) / known.length;
}

export function Tape({ steer_deg, rests }: { steer_deg: number | null; rests: readonly RestView[] }) {
  return (
    <div class="tape" aria-hidden="true">
      {TAPE_MARKS_DEG.map((mark_deg) => (
        <span key={mark_deg} class="tape-mark" style={place(mark_deg)}>
          {Math.abs(mark_deg)}
        </span>
      ))}
      {rests.map((rest) => {
        const at_deg = meanSteer_deg(rest);
        return at_deg === null ? null : <span key={rest.index} class="tape-peg" style={place(at_deg)} />;
      })}
      {steer_deg !== null && <span class="tape-bob" style={place(steer_deg)} />}
    </div>
  );
}
