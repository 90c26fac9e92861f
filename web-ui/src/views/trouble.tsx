// What happened, what it means, what to do.
import type { TroubleView } from '../contract/types';
import { boards as texts } from '../texts/en';

export function Trouble({ trouble, brief = false }: { trouble: TroubleView; brief?: boolean }) {
  return (
    <dl class="trouble" data-testid="trouble" data-code={trouble.code}>
      <div>
        <dt>{texts.what}</dt>
        <dd>{trouble.what}</dd>
      </div>
      {!brief && (
        <div>
          <dt>{texts.meaning}</dt>
          <dd>{trouble.meaning}</dd>
        </div>
      )}
      <div class="trouble-remedy">
        <dt>{texts.remedy}</dt>
        <dd>{trouble.remedy}</dd>
      </div>
    </dl>
  );
}
