// Making the car and the floor ready, point by point, each with its cautions.
import { signal } from '@preact/signals';
import type { Point, PointView, VisitView } from '../../contract/types';
import { busy, note } from '../../state/visit';
import { timeOnly } from '../../state/shown';
import { texts } from '../../texts';
import { WideField } from '../field';
import { PrimaryButton } from '../primary-button';
import { Refusal } from '../refusal';
import { Shape } from '../shapes';
import { ConditionsForm, hasFigures } from './conditions';
import { GoOn } from './stage-bar';

const notes = signal<Partial<Record<Point, string>>>({});
/** The point opened by hand; else the first that is still open. */
const opened = signal<Point | null>(null);

function PointOpen({ point, visit }: { point: PointView; visit: VisitView }) {
  const seen = point.done_at != null;
  const typed = notes.value[point.point] ?? point.note;
  const closed = visit.stage === 'closed';
  return (
    <div class="point-open">
      <p class="point-say">{point.say}</p>
      {point.cautions.length > 0 && (
        <ul class="mind" aria-label={texts.prepare.cautions}>
          {point.cautions.map((caution) => (
            <li key={caution}>
              <Shape name="mind" /> {caution}
            </li>
          ))}
        </ul>
      )}
      {!closed && (
        <>
          {hasFigures(point.point) && <ConditionsForm visit={visit} point={point.point} />}
          <div class="field-and-button">
            <WideField name={texts.prepare.note} typed={typed} onType={(text) => (notes.value = { ...notes.value, [point.point]: text })} testid={`note-${point.point}`} />
            <PrimaryButton
              of={`seen/${point.point}`}
              keyed={!seen}
              class={seen ? 'quiet' : 'deed-button'}
              disabled={busy.value}
              data-testid={`tick-${point.point}`}
              onClick={() => void note.prepared(point.point, !seen, typed.trim()).then((ok) => ok && (opened.value = null))}
            >
              {seen ? texts.prepare.undo : texts.prepare.done}
            </PrimaryButton>
          </div>
        </>
      )}
    </div>
  );
}

export function PrepareOpen({ visit }: { visit: VisitView }) {
  const first = visit.preparation.find(({ done_at }) => done_at == null)?.point ?? null;
  const at = opened.value ?? first;
  return (
    <div class="prepare">
      <Refusal by="prepare" />
      <ol class="points">
        {visit.preparation.map((point) => {
          const open = point.point === at;
          const seen = point.done_at != null;
          return (
            <li key={point.point} class={seen ? 'point point-seen' : 'point'} data-testid={`point-${point.point}`} data-done={seen}>
              <h3>
                <button type="button" class="point-title" aria-expanded={open} onClick={() => (opened.value = open ? null : point.point)} data-testid={`open-${point.point}`}>
                  <Shape name={seen ? 'done' : 'uncalibrated'} />
                  <span>
                    {point.title}
                    {seen && point.done_at != null && <span class="hint"> {timeOnly(point.done_at)}</span>}
                    {point.note !== '' && <span class="hint"> – {point.note}</span>}
                  </span>
                  {point.cautions.length > 0 && !seen && <Shape name="mind" />}
                </button>
              </h3>
              {open && <PointOpen point={point} visit={visit} />}
            </li>
          );
        })}
      </ol>
      <section class={visit.conditions_off.length > 0 ? 'note' : 'about'} data-testid="conditions-off" data-off={visit.conditions_off.length}>
        {visit.conditions_off.length === 0 ? (
          texts.prepare.allRight
        ) : (
          <>
            <h3>{texts.prepare.off}</h3>
            <ul class="off-list">
              {visit.conditions_off.map((off) => (
                <li key={off}>{off}</li>
              ))}
            </ul>
          </>
        )}
      </section>
      {visit.stage === 'preparing' && <GoOn to="before" words={texts.prepare.goOn} />}
    </div>
  );
}
