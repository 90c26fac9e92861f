// Says in the head what is heard, and opens the panel of all that works without touching the page.
import { signal } from '@preact/signals';
import { sounds, speechOn, tonesOn, toneState, touched } from '../state/voice';
import { texts } from '../texts';
import { HandsFreePanel } from './hands-free-panel';
import { Shape } from './shapes';

const isOpen = signal(false);

export function HandsFree() {
  const mute = sounds.at.value === 'none' || (tonesOn.value && toneState.value === 'absent' && !speechOn.value);
  return (
    <>
      <button type="button" class="hands-free-open" aria-haspopup="dialog" onClick={() => (isOpen.value = true)} data-testid="hands-free-open" data-sounds={sounds.at.value}>
        <Shape name={mute ? 'silent' : 'listening'} />
        <span>
          {texts.handsFree.open}
          <small>{touched.value || sounds.at.value === 'none' ? texts.handsFree.heardShort[sounds.at.value] : texts.handsFree.touchFirst}</small>
        </span>
      </button>
      {isOpen.value && <HandsFreePanel open={isOpen} />}
    </>
  );
}
