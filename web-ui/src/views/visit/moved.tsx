// An adjuster was moved: how far, and what was seen to after it.
import { signal } from '@preact/signals';
import type { AfterMove, Corner, VisitView, WorkStepView } from '../../contract/types';
import { busy, note } from '../../state/visit';
import { amountOf, amountsOf, cornersOf } from '../../state/work';
import { texts } from '../../texts';
import { Field, Pick, WideField } from '../field';
import { PrimaryButton } from '../primary-button';
import { Refusal } from '../refusal';

const AFTER: readonly AfterMove[] = ['locked', 'torqued', 'settled'];

interface MoveDraft {
  adjuster: string;
  corner: Corner | null;
  amounts: readonly string[];
  seen_to: readonly AfterMove[];
}

const draft = signal<MoveDraft>({ adjuster: '', corner: null, amounts: [], seen_to: [] });

export function beginMove(visit: VisitView, step: WorkStepView): void {
  const corners = cornersOf(visit, step);
  draft.value = { adjuster: step.adjuster ?? '', corner: corners.length === 1 ? (corners[0] ?? null) : null, amounts: [], seen_to: [] };
}

export function MovedForm({ visit, step, onKept, onCancel }: { visit: VisitView; step: WorkStepView; onKept: () => void; onCancel: () => void }) {
  const { adjuster, corner, amounts, seen_to } = draft.value;
  const put = (more: Partial<MoveDraft>) => (draft.value = { ...draft.value, ...more });
  const known = visit.car.adjuster ?? [];
  const asked = amountOf(visit, adjuster);
  const unit = step.adjuster === adjuster && step.amount_unit !== '' ? step.amount_unit : asked.unit;
  const read = amountsOf(amounts, asked.bolts);
  const whole = read.every((one) => one !== null);
  const corners = cornersOf(visit, { adjuster, place: step.place });
  return (
    <form
      class="moved"
      data-testid="moved-form"
      onSubmit={(event) => {
        event.preventDefault();
        if (!whole || corner === null) return;
        void note.moved({ adjuster: adjuster.trim(), corner, amount: read as number[], seen_to: [...seen_to] }).then((kept) => kept && onKept());
      }}
    >
      <h3>{texts.work.movedTitle}</h3>
      {known.length > 0 ? (
        <Pick name={texts.work.adjuster} choices={known.map(({ name }) => [name, name] as const)} chosen={adjuster} onPick={(name) => put({ adjuster: name, amounts: [] })} testid="moved-adjuster" />
      ) : (
        <WideField name={texts.work.adjuster} typed={adjuster} onType={(name) => put({ adjuster: name })} testid="moved-adjuster" />
      )}
      {corners.length > 1 && (
        <Pick name={texts.work.corner} choices={corners.map((one) => [one, texts.mounts[one]] as const)} chosen={corner} onPick={(one) => put({ corner: one })} testid="moved-corner" />
      )}
      <div class="measures">
        {read.map((value, nth) => (
          <Field
            key={nth}
            name={asked.bolts === 2 ? (texts.work.bolts[nth] ?? '') : texts.work.amount('')}
            unit={unit}
            typed={amounts[nth] ?? ''}
            onType={(text) => put({ amounts: read.map((_, at) => (at === nth ? text : (amounts[at] ?? ''))) })}
            wrong={value === null && (amounts[nth] ?? '') !== ''}
            testid={`moved-amount-${nth}`}
            hint={texts.work.sign}
          />
        ))}
      </div>
      <div class="pick-row">
        <span>{texts.work.seenTo}</span>
        <div class="pick" role="group" aria-label={texts.work.seenTo}>
          {AFTER.map((one) => {
            const seen = seen_to.includes(one);
            return (
              <button
                key={one}
                type="button"
                class="side"
                aria-pressed={seen}
                data-testid={`moved-${one}`}
                onClick={() => put({ seen_to: seen ? seen_to.filter((other) => other !== one) : [...seen_to, one] })}
              >
                {texts.work.after_move[one]}
              </button>
            );
          })}
        </div>
      </div>
      <Refusal by="work" />
      <div class="buttons">
        <button type="button" class="quiet" onClick={onCancel}>
          {texts.work.cancel}
        </button>
        <PrimaryButton of={`moved/${step.quantity}/${step.place}`} type="submit" class="deed-button" disabled={busy.value || !whole || corner === null || adjuster.trim() === ''} data-testid="moved-keep">
          {texts.work.keep}
        </PrimaryButton>
      </div>
    </form>
  );
}
