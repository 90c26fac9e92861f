// How much of a hold is done: a bar that fills, and the seconds.
import { seconds } from '../state/shown';
import { heldShare } from '../state/steps';
import { texts } from '../texts';

interface HoldBarProps {
  hold: { held_s: number; hold_needed_s: number };
  /** Says how far it is, by seconds held and needed. */
  words?: (held: string, needed: string) => string;
  testid?: string;
}

export function HoldBar({ hold, words = texts.swing.held, testid }: HoldBarProps) {
  const { held_s, hold_needed_s } = hold;
  const text = words(seconds(held_s), seconds(hold_needed_s));
  return (
    <div class="hold">
      <div
        class="hold-bar"
        role="progressbar"
        aria-label={texts.swing.holdBar}
        aria-valuemin={0}
        aria-valuemax={hold_needed_s}
        aria-valuenow={held_s}
        aria-valuetext={text}
        data-testid={testid}
      >
        <span style={{ transform: `scaleX(${heldShare(hold).toFixed(3)})` }} />
      </div>
      <p>{text}</p>
    </div>
  );
}
