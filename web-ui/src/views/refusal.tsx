// A refused request, shown where it was made.
import { forgetRefusal, refused, type Asker } from '../state/visit';
import { texts } from '../texts';
import { PairCode } from './pair-code';

export function Refusal({ by }: { by: Asker }) {
  const shown = refused.value;
  if (shown?.by !== by) return null;
  const { problem } = shown;
  return (
    <div class="refusal" role="alert" data-testid={`refusal-${by}`} data-code={problem.code}>
      <p>
        <b>{problem.title}.</b> {problem.detail}
      </p>
      <p>{problem.remedy}</p>
      <PairCode of={problem.code} />
      <button type="button" class="quiet" onClick={() => forgetRefusal(by)} aria-label={texts.problem.close}>
        ✕
      </button>
    </div>
  );
}
