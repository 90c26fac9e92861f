// The step on stage for ears alone: the switch of its tone, and its way as a sentence.
import { useEffect } from 'preact/hooks';
import type { WorkStepView } from '../../contract/types';
import { canFollow, tone } from '../../state/adjusting';
import { valueSize } from '../../state/shown';
import { adjustingSound, readySound, standingWords } from '../../state/voice';
import type { Way } from '../../state/work';
import { texts } from '../../texts';
import { towardWords } from '../../texts/phrases';
import { Shape } from '../shapes';

export function AdjustingSwitch() {
  if (!canFollow.value) return <p class="hint adjusting-none">{texts.handsFree.adjustingNone}</p>;
  const on = adjustingSound.at.value === 'on';
  return (
    <button
      type="button"
      class="adjusting-switch"
      aria-pressed={on}
      data-testid="adjusting-tone"
      data-kind={tone.value.kind}
      data-pulse-hz={tone.value.pulse_hz}
      onClick={() => {
        readySound();
        adjustingSound.choose(on ? 'off' : 'on');
      }}
    >
      <Shape name={on ? 'listening' : 'silent'} />
      <span>
        {texts.handsFree.adjusting}: <b>{on ? texts.handsFree.on : texts.handsFree.off}</b>
      </span>
    </button>
  );
}

/** The way as it is said when somebody asks for it. */
function spoken(step: WorkStepView, way: Way): string {
  if (way.kind === 'there') return texts.work.there;
  const toward = towardWords(step.quantity, way.toward);
  const size = valueSize(way.size, step.unit);
  return way.kind === 'enough' ? texts.handsFree.wayEnough(toward, size) : texts.handsFree.wayWords(toward, size);
}

/** While the step is on stage, its way is what there is to repeat. */
export function useSpokenWay(step: WorkStepView, way: Way | null): void {
  const words = way === null ? null : spoken(step, way);
  useEffect(() => {
    standingWords.value = words;
  }, [words]);
  useEffect(() => () => void (standingWords.value = null), []);
}
