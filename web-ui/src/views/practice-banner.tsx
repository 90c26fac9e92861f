// Practising is told on every screen, with the way out beside it.
import type { StateView } from '../contract/types';
import { asking } from '../state';
import { place } from '../state/placing';
import { texts } from '../texts';

export function PracticeBanner({ state }: { state: Pick<StateView, 'setup'> }) {
  const words = texts.firstRun.practice;
  const practice = state.setup?.practice ?? 'off';
  if (practice === 'off') return null;
  const inside = practice === 'inside';
  return (
    <aside class={inside ? 'practice practice-inside' : 'practice'} data-testid="practice" data-practice={practice}>
      <p>{inside ? <b>{words.banner}</b> : words.running}</p>
      {inside && <p class="practice-more">{words.nothingKept}</p>}
      {!inside && <a href="practice/">{words.open}</a>}
      <button type="button" disabled={asking.value} onClick={() => void place.endPractice(inside)} data-testid="practice-end">
        {words.end}
      </button>
    </aside>
  );
}
