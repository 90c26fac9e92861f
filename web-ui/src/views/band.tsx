// The band over a stage: what to do now, by shape and word, seen from the far side of the car.
import type { Deed } from '../state/steps';
import { texts } from '../texts';
import { HoldBar } from './hold-bar';
import { Shape } from './shapes';
import { BigWords } from './words';

interface BandProps {
  deed: Deed;
  words: string;
  /** Names and states for whoever looks the word up. */
  word: Record<`data-${string}`, string | number>;
  /** The time that runs, if one does. */
  hold?: { held_s: number; hold_needed_s: number } | null;
  holdWords?: (held: string, needed: string) => string;
  holdTestid?: string;
}

export function Band({ deed, words, word, hold = null, holdWords, holdTestid = 'hold' }: BandProps) {
  return (
    <div class={`deed deed-${deed}`}>
      <Shape name={deed} />
      <div class="deed-words">
        <p class="deed-word" {...word}>
          <BigWords words={words} />
        </p>
        {hold !== null && <HoldBar hold={hold} words={holdWords ?? texts.swing.held} testid={holdTestid} />}
      </div>
    </div>
  );
}
