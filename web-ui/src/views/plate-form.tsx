// Typing turn-plate readings: all fields of the swing at once, taken with one press.
import type { RestView, RestWheelView, SwingView } from '../contract/types';
import { asking, plateDrafts, requestPlates, setDraft } from '../state';
import { draftKey, judge, platesMissing, readingsOf, restsToRead, sideSeen, type PlateDraft } from '../state/plates';
import { angleSize } from '../state/shown';
import { texts } from '../texts';
import { PrimaryButton } from './primary-button';

function draftOf(rest: RestView, wheel: RestWheelView): PlateDraft {
  return plateDrafts.value.get(draftKey(rest.index, wheel.mount)) ?? { typed: '', side: sideSeen(rest, wheel) };
}

function inWords(plate_deg: number): string {
  const size = angleSize(plate_deg);
  return plate_deg === 0 ? size : `${size} ${plate_deg > 0 ? texts.plates.left : texts.plates.right}`;
}

/** The side a draft stands for: a typed sign wins over the chosen side. */
function sideOf(draft: PlateDraft): PlateDraft['side'] {
  const verdict = judge(draft);
  if (verdict.kind !== 'reading' || verdict.plate_deg === 0) return draft.side;
  return verdict.plate_deg > 0 ? 'left' : 'right';
}

/** What the field comes to, in words, so that a wrong side is seen before it is taken. */
function comesTo(draft: PlateDraft, wheel: RestWheelView): string {
  const verdict = judge(draft);
  switch (verdict.kind) {
    case 'empty':
      return wheel.plate_deg == null ? '' : `${texts.plates.taken}: ${inWords(wheel.plate_deg)}`;
    case 'not_a_number':
      return texts.plates.notANumber;
    case 'side_missing':
      return texts.plates.sideMissing;
    case 'reading':
      return inWords(verdict.plate_deg);
  }
}

function Field({ rest, wheel }: { rest: RestView; wheel: RestWheelView }) {
  const draft = draftOf(rest, wheel);
  const key = draftKey(rest.index, wheel.mount);
  const verdict = judge(draft);
  const wrong = verdict.kind === 'not_a_number' || verdict.kind === 'side_missing';
  const id = `plate-${key}`;
  const side = (name: 'left' | 'right') => (
    <button
      type="button"
      class="side"
      aria-pressed={sideOf(draft) === name}
      onClick={() => setDraft(key, { ...draft, side: name })}
      data-testid={`plate-${name}-${key}`}
    >
      {texts.plates[name]}
    </button>
  );
  return (
    <div class="plate">
      <div class="plate-head">
        <label for={id}>{texts.mounts[wheel.mount]}</label>
        <p id={`${id}-says`} class={wrong ? 'plate-says plate-wrong' : 'plate-says'}>
          {comesTo(draft, wheel)}
        </p>
      </div>
      <div class="plate-row">
        {side('left')}
        <input
          id={id}
          data-testid={id}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          enterKeyHint="done"
          aria-label={texts.plates.field(texts.mounts[wheel.mount], texts.swing.rest(rest.index, rest.straight))}
          aria-invalid={wrong}
          aria-describedby={`${id}-says`}
          placeholder={rest.straight ? '0' : ''}
          value={draft.typed}
          onInput={(event) => setDraft(key, { ...draft, typed: event.currentTarget.value })}
        />
        {side('right')}
      </div>
    </div>
  );
}

export function PlateForm({ swing }: { swing: SwingView }) {
  const readings = readingsOf(swing, draftOf);
  return (
    <form
      class="plates"
      onSubmit={(event) => {
        event.preventDefault();
        void requestPlates(readings);
      }}
    >
      <h3 class="unseen">{texts.plates.title}</h3>
      <p class="hint">{texts.plates.rule}</p>
      {restsToRead(swing).map((rest) => (
        <fieldset key={rest.index}>
          <legend>{texts.swing.rest(rest.index, rest.straight)}</legend>
          {rest.wheels.map((wheel) => (
            <Field key={wheel.mount} rest={rest} wheel={wheel} />
          ))}
        </fieldset>
      ))}
      <div class="plates-foot">
        <p>{texts.plates.missing(platesMissing(swing.rests))}</p>
        <PrimaryButton of={`plates/${swing.run}/${swing.rests.length}`} type="submit" class="deed-button" data-testid="plate-submit" disabled={asking.value || readings.length === 0}>
          {texts.plates.submit}
        </PrimaryButton>
      </div>
    </form>
  );
}
