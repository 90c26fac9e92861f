// The sheet to print, the files of the visit, and its end.
import type { VisitView } from '../../contract/types';
import { exportOf, sheetOf } from '../../contract/visits';
import { notation } from '../../state/notation';
import { busy, note } from '../../state/visit';
import { texts } from '../../texts';
import { Refusal } from '../refusal';

export function ClosingOpen({ visit }: { visit: VisitView }) {
  const closed = visit.stage === 'closed';
  return (
    <div class="closing">
      <p class="about">{closed ? texts.closing.closed : texts.closing.about}</p>
      <Refusal by="visit" />
      <div class="buttons">
        <a class="button deed-button deed-button-large" href={sheetOf(visit.id, notation.value, texts.code)} target="_blank" rel="noreferrer" data-testid="sheet-open">
          {texts.closing.open}
        </a>
        <a class="button quiet" href={exportOf(visit.id, 'csv')} download={`visit-${visit.id}.csv`}>
          {texts.closing.csv}
        </a>
        <a class="button quiet" href={exportOf(visit.id, 'json')} download={`visit-${visit.id}.json`}>
          {texts.closing.json}
        </a>
        <button type="button" class={closed ? 'quiet' : 'cancel'} disabled={busy.value} onClick={() => void note.stage(closed ? 'after' : 'closed')} data-testid={closed ? 'visit-reopen' : 'visit-close'}>
          {closed ? texts.closing.reopen : texts.closing.close}
        </button>
      </div>
    </div>
  );
}
