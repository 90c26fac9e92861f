// The swing's state word and its one sentence, for the closed line and the start form.
import type { SwingView } from '../contract/types';
import { deedOf } from '../state/steps';
import { texts } from '../texts';
import { Shape } from './shapes';

export function SwingSay({ swing }: { swing: SwingView }) {
  const deed = deedOf(swing.phase);
  return (
    <span class={`swing-line deed-${deed}`}>
      <b class="swing-word" data-testid="swing-phase" data-phase={swing.phase} data-run={swing.run}>
        <Shape name={deed} />
        {swing.phase === 'done' ? texts.swing.done(swing.rests.length, swing.run) : texts.swing.phase[swing.phase]}
      </b>
      <span aria-live="polite" data-testid="swing-say">
        {swing.say}
      </span>
    </span>
  );
}
