// Targets of an axle or of the whole car: what to aim at, and between what it is right.
import { LIMITS, readField, TURN_INNER, type TargetRow } from '../../state/car-draft';
import { carDraft, carWrong, typeField } from '../../state/car-editing';
import { angle } from '../../state/shown';
import { texts } from '../../texts';
import { fieldPlace, fieldWords } from '../../texts/phrases';

/** What a typed angle will be taken as, in the notation that was chosen. */
function comesTo(kind: TargetRow['kind'], typed: string): string {
  const value = readField(kind, typed);
  return kind === 'angle' && typeof value === 'number' ? angle(value) : '';
}

function Cell({ path, kind, name }: { path: string; kind: TargetRow['kind']; name: string }) {
  const typed = carDraft.value.typed[path] ?? '';
  const wrong = carWrong.value.includes(path);
  return (
    <label class={`target-cell${wrong ? ' field-wrong' : ''}`}>
      <span class="target-name">{name}</span>
      <input
        type="text"
        inputMode="text"
        autoComplete="off"
        aria-label={fieldPlace(path)}
        aria-invalid={wrong}
        placeholder={texts.form.missing}
        data-testid={`car-${path}`}
        value={typed}
        onInput={(event) => typeField(path, event.currentTarget.value)}
      />
      <small>{comesTo(kind, typed)}</small>
    </label>
  );
}

export function Targets({ title, rows, inner = false }: { title: string; rows: readonly TargetRow[]; inner?: boolean }) {
  return (
    <fieldset class="car-group">
      <legend>{title}</legend>
      {inner && (
        <div class="target-row">
          <p>{texts.form.inner}</p>
          <Cell path={TURN_INNER} kind="angle" name="20°" />
        </div>
      )}
      {rows.map(({ path, kind, difference }) => {
        const [name, unit] = fieldWords(path);
        return (
          <div class="target-row" key={path}>
            <p>
              {name} <span class="hint">{unit}</span>
            </p>
            {LIMITS.map((limit) => (
              <Cell key={limit} path={`${path}.${limit}`} kind={kind} name={texts.form.columns[limit]} />
            ))}
            {difference !== null && <Cell path={difference} kind={kind} name={texts.form.columns.difference} />}
          </div>
        );
      })}
    </fieldset>
  );
}
