// How each board sits on its wheel, in a line.
import type { StateView } from '../contract/types';
import { inOrder } from '../state/findings';
import { runOutDeed } from '../state/levelling';
import { texts } from '../texts';

export function RunOutLine({ state }: { state: Pick<StateView, 'levelling'> }) {
  return (
    <span class="camber-line">
      {inOrder(state.levelling.run_outs).map((wheel) => (
        <span key={wheel.mount} class={`camber-item deed-${runOutDeed(wheel.phase)}`}>
          {texts.runOut.line(texts.mounts[wheel.mount], texts.runOut.sitsBy[wheel.sits_by])}
        </span>
      ))}
    </span>
  );
}
