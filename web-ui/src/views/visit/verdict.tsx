// A verdict: its shape and its word, before any colour.
import type { Optional, VerdictView } from '../../contract/types';
import { percent } from '../../state/shown';
import { verdictShape } from '../../state/verdict';
import { texts } from '../../texts';
import { Shape } from '../shapes';

export function Verdict({ verdict, testid }: { verdict: Optional<VerdictView>; testid?: string }) {
  const shape = verdictShape(verdict);
  return (
    <span class={`verdict verdict-${shape}`} data-testid={testid} data-verdict={shape}>
      <Shape name={shape} />
      <b>{texts.table.verdict[shape]}</b>
      {verdict != null && shape === 'undecided' && <span class="chance">{texts.table.chance(percent(verdict.chance_inside))}</span>}
    </span>
  );
}
