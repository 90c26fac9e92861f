// The band of a step: what to do, seen from the far side of the car, and one sentence more.
import type { Deed } from '../../state/steps';
import { Shape } from '../shapes';

export function Band({ deed, word, say, testid }: { deed: Deed; word: string; say: string; testid?: string }) {
  return (
    <>
      <div class={`deed deed-${deed} first-band`}>
        <Shape name={deed} />
        <p class="deed-word" data-testid={testid}>
          {word}
        </p>
      </div>
      <p class="say" aria-live="polite">
        {say}
      </p>
    </>
  );
}
