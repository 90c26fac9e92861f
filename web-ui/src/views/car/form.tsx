// A car typed by hand: what is known, the targets, what can be adjusted, and when the targets hold.
import { useEffect } from 'preact/hooks';
import { KNOWN, HOLDS, TARGETS, type FieldSpec } from '../../state/car-draft';
import { carDraft, carWrong, keepCar, typeField } from '../../state/car-editing';
import { busy, panel } from '../../state/visit';
import { texts } from '../../texts';
import { fieldPlace, fieldWords } from '../../texts/phrases';
import { Field, Pick, WideField } from '../field';
import { NotationChoice } from '../notation-choice';
import { Refusal } from '../refusal';
import { Adjusters } from './adjusters';
import { Targets } from './targets';

export function CarField({ spec: { path, kind } }: { spec: FieldSpec }) {
  const [name, unit] = fieldWords(path);
  const typed = carDraft.value.typed[path] ?? '';
  const onType = (text: string) => typeField(path, text);
  if (kind === 'text') return <WideField name={name} typed={typed} onType={onType} testid={`car-${path}`} />;
  if (kind === 'choice') {
    return (
      <div class="pick-row">
        <span>{name}</span>
        <Pick
          name={name}
          choices={Object.entries(texts.form.suspension)}
          chosen={typed === '' ? null : typed}
          onPick={(picked) => onType(picked === typed ? '' : picked)}
          testid={`car-${path}`}
        />
      </div>
    );
  }
  return <Field name={name} unit={unit} typed={typed} onType={onType} testid={`car-${path}`} wrong={carWrong.value.includes(path)} empty={texts.form.missing} />;
}

function Group({ title, specs }: { title: string; specs: readonly FieldSpec[] }) {
  const long = specs.filter(({ kind }) => kind !== 'number');
  const figures = specs.filter(({ kind }) => kind === 'number');
  return (
    <fieldset class="car-group">
      <legend>{title}</legend>
      {long.map((spec) => (
        <CarField key={spec.path} spec={spec} />
      ))}
      <div class="measures">
        {figures.map((spec) => (
          <CarField key={spec.path} spec={spec} />
        ))}
      </div>
    </fieldset>
  );
}

export function CarForm({ id }: { id: number | null }) {
  useEffect(() => window.scrollTo(0, 0), []);
  const wrong = carWrong.value;
  return (
    <form
      class="panel car-form"
      data-testid="car-form"
      onSubmit={(event) => {
        event.preventDefault();
        keepCar(id);
      }}
    >
      <header class="panel-head">
        <h2>{id === null ? texts.form.titleNew : texts.form.titleChange(carDraft.value.from.name)}</h2>
        <NotationChoice />
      </header>
      <p class="about">{texts.form.about}</p>
      <p class="about">{texts.form.signs}</p>
      <Group title={texts.form.groups.about} specs={KNOWN.about} />
      <Group title={texts.form.groups.front} specs={KNOWN.front} />
      <Group title={texts.form.groups.rear} specs={KNOWN.rear} />
      <Group title={texts.form.groups.steering} specs={KNOWN.steering} />
      <Targets title={texts.form.groups.targetsFront} rows={TARGETS.front} />
      <Targets title={texts.form.groups.targetsRear} rows={TARGETS.rear} />
      <Targets title={texts.form.groups.targetsCar} rows={TARGETS.car} inner />
      <Adjusters />
      <Group title={texts.form.groups.holds} specs={HOLDS} />
      <Refusal by="car" />
      {wrong.length > 0 && (
        <p class="note" data-testid="car-wrong">
          {texts.form.wrong} {wrong.map(fieldPlace).join('; ')}
        </p>
      )}
      <footer class="panel-foot">
        <button type="button" class="quiet" onClick={() => (panel.value = null)}>
          {texts.form.cancel}
        </button>
        <button type="submit" class="deed-button deed-button-large" disabled={busy.value} data-testid="car-keep">
          {texts.form.keep}
        </button>
      </footer>
    </form>
  );
}
