// What was found before the daemon was started anew: in force once somebody says that nothing was moved.
import type { StateView } from '../contract/types';
import { asking, requestGoOn, requestLeaveEarlier } from '../state';
import { dayAndTime } from '../state/shown';
import { texts } from '../texts';

export function FoundBefore({ state }: { state: Pick<StateView, 'levelling'> }) {
  const { earlier } = state.levelling;
  const words = texts.runOut.before;
  return (
    earlier && (
      <aside class="practice" data-testid="found-before">
        <p>
          <b>{words.found(dayAndTime(earlier.at), earlier.what.join(', '))}</b> {words.ask}
        </p>
        <button type="button" class="deed-button" disabled={asking.value} onClick={() => void requestGoOn()} data-testid="go-on">
          {words.holds}
        </button>
        <button type="button" class="quiet" disabled={asking.value} onClick={() => void requestLeaveEarlier()} data-testid="leave-earlier">
          {words.moved}
        </button>
      </aside>
    )
  );
}
