// What happened, what it means, what to do.
import type { TroubleView } from '../contract/types';
import { texts } from '../texts';

export function Trouble({ trouble, brief = false }: { trouble: TroubleView; brief?: boolean }) {
  return (
    <dl class="trouble" data-testid="trouble" data-code={trouble.code}>
      <div>
        <dt>{texts.boards.what}</dt>
        <dd>{trouble.what}</dd>
      </div>
      {!brief && (
        <div>
          <dt>{texts.boards.meaning}</dt>
          <dd>{trouble.meaning}</dd>
        </div>
      )}
      <div class="trouble-remedy">
        <dt>{texts.boards.remedy}</dt>
        <dd>{trouble.remedy}</dd>
      </div>
    </dl>
  );
}
