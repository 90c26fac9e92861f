// What can be adjusted on a car.
import { FIELDS, KINDS, type AdjusterDraft, type AdjusterField } from '../../state/adjuster-draft';
import { CORNER_NAMES } from '../../state/car-draft';
import { addAdjuster, carDraft, carWrong, changeAdjuster, dropAdjuster } from '../../state/car-editing';
import { texts } from '../../texts';
import { fieldWords } from '../../texts/phrases';
import { Field, Pick, WideField } from '../field';

function Way({ field, nth, draft }: { field: AdjusterField; nth: number; draft: AdjusterDraft }) {
  const path = `adjuster.${nth}.${field.key}`;
  const [name, unit] = fieldWords(path);
  const typed = draft.typed[field.key] ?? '';
  const put = (text: string) => changeAdjuster(nth, { typed: { ...draft.typed, [field.key]: text } });
  if (field.kind === 'choice') {
    const chosen = typed === '' ? (field.choices[0] ?? '') : typed;
    return (
      <div class="pick-row">
        <span>{name}</span>
        <Pick name={name} choices={field.choices.map((choice) => [choice, texts.adjusters.choices[choice] ?? choice] as const)} chosen={chosen} onPick={put} testid={`car-${path}`} />
      </div>
    );
  }
  return <Field name={name} unit={unit} typed={typed} onType={put} wrong={carWrong.value.includes(path)} empty={texts.form.missing} testid={`car-${path}`} />;
}

function Adjuster({ draft, nth }: { draft: AdjusterDraft; nth: number }) {
  const wrong = (key: string): boolean => carWrong.value.includes(`adjuster.${nth}.${key}`);
  return (
    <li class="card adjuster" data-testid={`car-adjuster-${nth}`}>
      <WideField name={texts.adjusters.name} typed={draft.name} onType={(name) => changeAdjuster(nth, { name })} testid={`car-adjuster-${nth}-name`} />
      <div class={`pick-row${wrong('at') ? ' field-wrong' : ''}`}>
        <span>{texts.adjusters.at}</span>
        <div class="pick" role="group" aria-label={texts.adjusters.at}>
          {CORNER_NAMES.map((corner) => {
            const there = draft.at.includes(corner);
            const at = CORNER_NAMES.filter((one) => (one === corner ? !there : draft.at.includes(one)));
            return (
              <button key={corner} type="button" class="side" aria-pressed={there} onClick={() => changeAdjuster(nth, { at })} data-testid={`car-adjuster-${nth}-${corner}`}>
                {texts.mounts[corner]}
              </button>
            );
          })}
        </div>
      </div>
      <label class="wide-field">
        <span>{texts.adjusters.kind}</span>
        <select data-testid={`car-adjuster-${nth}-kind`} value={draft.kind} onChange={(event) => changeAdjuster(nth, { kind: event.currentTarget.value as AdjusterDraft['kind'] })}>
          {KINDS.map((kind) => (
            <option key={kind} value={kind}>
              {texts.adjusters.kinds[kind]}
            </option>
          ))}
        </select>
      </label>
      <div class="measures">
        {FIELDS[draft.kind].map((field) => (
          <Way key={field.key} field={field} nth={nth} draft={draft} />
        ))}
      </div>
      <button type="button" class="quiet" onClick={() => dropAdjuster(nth)} data-testid={`car-adjuster-${nth}-remove`}>
        {texts.adjusters.remove}
      </button>
    </li>
  );
}

export function Adjusters() {
  const { adjusters } = carDraft.value;
  return (
    <fieldset class="car-group">
      <legend>{texts.form.groups.adjusters}</legend>
      {adjusters.length === 0 && <p class="hint">{texts.adjusters.none}</p>}
      <ul class="cards">
        {adjusters.map((draft, nth) => (
          <Adjuster key={nth} draft={draft} nth={nth} />
        ))}
      </ul>
      <button type="button" class="quiet" onClick={addAdjuster} data-testid="car-adjuster-add">
        {texts.adjusters.add}
      </button>
    </fieldset>
  );
}
