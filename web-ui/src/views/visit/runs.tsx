// What was done in the visit, newest first; a run that does not hold is taken back with its reason.
import { signal } from '@preact/signals';
import type { RunView, VisitView } from '../../contract/types';
import { timeOnly } from '../../state/shown';
import { busy, note } from '../../state/visit';
import { texts } from '../../texts';
import { WideField } from '../field';
import { Curve } from './curve';

const asked = signal<{ number: number; why: string } | null>(null);

function Run({ run, open }: { run: RunView; open: boolean }) {
  const question = asked.value?.number === run.number ? asked.value : null;
  return (
    <li class={`card${run.taken_back ? ' run-gone' : ''}`} data-testid={`run-${run.number}`} data-procedure={run.procedure} data-taken-back={run.taken_back}>
      <p class="card-words">
        <b>{run.name}</b> <span class="hint">{`${texts.visit.stage[run.stage]}, ${timeOnly(run.at)}`}</span> {run.method}
        {run.taken_back && <b class="aged"> {texts.table.takenBack}</b>} {run.why_taken_back}
      </p>
      {open && !run.taken_back && question === null && (
        <div class="buttons">
          <button type="button" class="quiet" onClick={() => (asked.value = { number: run.number, why: '' })} data-testid={`take-back-${run.number}`}>
            {texts.table.takeBack}
          </button>
        </div>
      )}
      {run.curve != null && <Curve curve={run.curve} />}
      {question !== null && (
        <form
          class="name-ask"
          onSubmit={(event) => {
            event.preventDefault();
            void note.takenBack(run.number, question.why.trim()).then((ok) => ok && (asked.value = null));
          }}
        >
          <WideField name={texts.table.why} typed={question.why} onType={(why) => (asked.value = { ...question, why })} testid="take-back-why" />
          <div class="buttons">
            <button type="button" class="quiet" onClick={() => (asked.value = null)}>
              {texts.table.keep}
            </button>
            <button type="submit" class="cancel" disabled={busy.value || question.why.trim() === ''} data-testid="take-back-now">
              {texts.table.takeBackNow}
            </button>
          </div>
        </form>
      )}
    </li>
  );
}

export function Runs({ visit }: { visit: VisitView }) {
  if (visit.runs.length === 0) return null;
  return (
    <section class="runs">
      <h3>{texts.table.runs}</h3>
      <ul class="cards">
        {visit.runs.toReversed().map((run) => (
          <Run key={run.number} run={run} open={visit.stage !== 'closed'} />
        ))}
      </ul>
    </section>
  );
}
