// What is known of the floor's slope, in a line.
import type { FloorView } from '../contract/types';
import { angle, expandedAngle } from '../state/shown';
import { texts } from '../texts';

function slope(value_deg: number, expanded_deg: number, sense: string): string {
  return texts.floor.slope(angle(value_deg), expandedAngle(expanded_deg), sense);
}

export function FloorLine({ floor }: { floor: FloorView }) {
  return (
    <span
      data-testid="floor-line"
      data-by={floor.by}
      data-roll-deg={floor.roll_deg}
      data-roll-expanded-deg={floor.roll_expanded_deg}
      data-pitch-deg={floor.pitch_deg}
      data-pitch-expanded-deg={floor.pitch_expanded_deg}
    >
      {texts.floor.line(
        `${texts.floor.across} ${slope(floor.roll_deg, floor.roll_expanded_deg, floor.roll_sense)}`,
        `${texts.floor.along} ${slope(floor.pitch_deg, floor.pitch_expanded_deg, floor.pitch_sense)}`,
        texts.floor.by[floor.by],
      )}
    </span>
  );
}
