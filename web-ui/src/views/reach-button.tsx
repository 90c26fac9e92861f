import { openReach } from '../state/reach';
import { texts } from '../texts';
import { Shape } from './shapes';

/** In the head: the way to the panel. */
export function ReachButton() {
  return (
    <button type="button" class="reach-button" aria-label={texts.reach.title} title={texts.reach.title} onClick={() => openReach(true)} data-testid="reach-open">
      <Shape name="tablet" />
    </button>
  );
}
