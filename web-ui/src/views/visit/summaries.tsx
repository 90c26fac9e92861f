// Which car is at hand and whether it is ready, in a line each.
import type { VisitView } from '../../contract/types';
import { texts } from '../../texts';

export function VisitSummary({ visit }: { visit: VisitView | null }) {
  return (
    <span data-testid="visit-at-hand" data-id={visit?.id ?? ''} data-stage={visit?.stage ?? ''}>
      {visit === null ? texts.visit.none : <b>{texts.visit.line(visit.car.name, texts.visit.stage[visit.stage])}</b>}
    </span>
  );
}

export function PrepareSummary({ visit }: { visit: VisitView }) {
  const done = visit.preparation.filter(({ done_at }) => done_at != null).length;
  return (
    <span class="prepare-line" data-testid="prepare-line" data-done={done}>
      {texts.prepare.line(done, visit.preparation.length)}
      {visit.conditions_off.length > 0 && <span class="aged">{`${texts.prepare.off}: ${visit.conditions_off.length}`}</span>}
    </span>
  );
}
