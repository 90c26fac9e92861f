// The parts of a visit on a string: knots behind, the bob at hand, what lies ahead.
import type { Stage, VisitView } from '../../contract/types';
import { busy, note } from '../../state/visit';
import { STAGES } from '../../state/verdict';
import { texts } from '../../texts';
import { PrimaryButton } from '../primary-button';
import { Shape } from '../shapes';

export function StageBar({ visit }: { visit: VisitView }) {
  const at = STAGES.indexOf(visit.stage);
  return (
    <ol class="stage-bar" aria-label={texts.visit.bar} data-testid="stage-bar" data-stage={visit.stage}>
      {STAGES.map((stage, nth) => {
        const place = nth < at ? 'done' : nth === at ? 'now' : 'ahead';
        return (
          <li key={stage} class={`stage-${place}`}>
            <button
              type="button"
              aria-current={place === 'now' ? 'step' : undefined}
              aria-label={`${texts.visit.stage[stage]} (${texts.visit[place]}): ${texts.visit.goOn[stage]}`}
              disabled={busy.value || place === 'now'}
              onClick={() => void note.stage(stage)}
              data-testid={`stage-${stage}`}
            >
              {place === 'now' ? <Shape name="bob" /> : <span class="stage-knot" />}
              {texts.visit.stage[stage]}
            </button>
          </li>
        );
      })}
    </ol>
  );
}

/** The one button that brings the visit on. */
export function GoOn({ to, words }: { to: Stage; words: string }) {
  return (
    <PrimaryButton of={`go_on/${to}`} class="deed-button deed-button-large" disabled={busy.value} onClick={() => void note.stage(to)} data-testid={`go-on-${to}`}>
      {words}
    </PrimaryButton>
  );
}
