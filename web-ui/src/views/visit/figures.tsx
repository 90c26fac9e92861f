// Toe and setback that a person measured: choose the way, see what to measure where, type it in.
import { signal } from '@preact/signals';
import { CORNERS, EMPTY, enteredOf, fieldsBlamed, stringField, WAYS, type EnteredDraft, type Way } from '../../state/entered';
import { busy, enterFigures, forgetRefusal, refused } from '../../state/visit';
import { texts } from '../../texts';
import { Field, Pick } from '../field';
import { Refusal } from '../refusal';
import { Shape } from '../shapes';
import { Drawing } from './drawing';

const way = signal<Way>('strings');
const drafts = signal<Partial<Record<Way, EnteredDraft>>>({});
/** The way whose figures were taken last, until something is typed again. */
const taken = signal<Way | null>(null);

const draftOf = (one: Way): EnteredDraft => drafts.value[one] ?? EMPTY;

function put(more: Partial<EnteredDraft>): void {
  drafts.value = { ...drafts.value, [way.value]: { ...draftOf(way.value), ...more } };
  taken.value = null;
}

function Typed({ field, name, blamed, empty = '' }: { field: string; name?: string; blamed: readonly string[]; empty?: string }) {
  const draft = draftOf(way.value);
  const at_fault = blamed.includes(field);
  return (
    <Field
      name={name ?? texts.entered.field[field] ?? field}
      typed={draft.typed[field] ?? ''}
      onType={(text) => put({ typed: { ...draft.typed, [field]: text } })}
      wrong={at_fault}
      testid={`figure-${field}`}
      empty={empty}
      hint={at_fault ? refused.value?.problem.remedy : undefined}
    />
  );
}

function StringWheels({ blamed }: { blamed: readonly string[] }) {
  return (
    <>
      <p class="hint">{texts.entered.leave}</p>
      {CORNERS.map((corner) => (
        <fieldset key={corner} class="wheel-fields">
          <legend>{texts.mounts[corner]}</legend>
          <div class="measures">
            {(['ahead', 'behind', 'hub', 'turned_ahead', 'turned_behind'] as const).map((name) => (
              <Typed key={name} field={stringField(corner, name)} name={texts.entered.field[name] ?? name} blamed={blamed} />
            ))}
          </div>
        </fieldset>
      ))}
    </>
  );
}

const SINGLE: Record<Exclude<Way, 'strings'>, readonly string[]> = {
  gap: ['ahead', 'behind', 'turned_ahead', 'turned_behind'],
  spot: ['distance', 'forward', 'up', 'turned_forward', 'turned_up'],
  slip: ['reading', 'reading_2', 'reading_3'],
  setback: ['left', 'right'],
};

/** Beside the figures: how they were taken, as far as it is known. */
const BESIDE: Record<Way, readonly string[]> = {
  strings: ['reading_standard', 'direction_standard', 'run_out'],
  gap: ['below_hub', 'reading_standard', 'run_out'],
  spot: ['reading_standard', 'beam_standard'],
  slip: [],
  setback: ['reading_standard'],
};

const ofAxle = (way: Way): boolean => way === 'gap' || way === 'setback';
const ofWheel = (way: Way): boolean => way === 'spot' || way === 'slip';
const halfTurned = (way: Way): boolean => way === 'strings' || way === 'gap' || way === 'spot';

export function FiguresOpen({ flange_mm }: { flange_mm: { front: string; rear: string } }) {
  const one = way.value;
  const draft = draftOf(one);
  const problem = refused.value?.by === 'figures' ? refused.value.problem : null;
  const blamed = problem ? fieldsBlamed(problem.detail, draft.typed) : [];
  const read = enteredOf(one, draft);
  const send = () => {
    if (read.kind === 'ready') void enterFigures(read.figures).then((ok) => ok && (taken.value = one));
  };
  return (
    <form
      class="entered"
      data-testid="figures-form"
      data-way={one}
      onSubmit={(event) => {
        event.preventDefault();
        send();
      }}
    >
      <p class="about">{texts.entered.about}</p>
      <Pick
        name={texts.entered.title}
        choices={WAYS.map((name) => [name, texts.entered.ways[name]] as const)}
        chosen={one}
        onPick={(picked) => {
          way.value = picked;
          forgetRefusal('figures');
        }}
        testid="figures-way"
      />
      <div class="entered-columns">
        <div class="entered-what">
          <Drawing way={one} />
          <p>{texts.entered.says[one]}</p>
          <ul class="mind" aria-label={texts.entered.caveats}>
            {texts.entered.heed[one].map((caveat) => (
              <li key={caveat}>
                <Shape name="mind" /> {caveat}
              </li>
            ))}
          </ul>
        </div>
        <div class="entered-fields">
          {ofAxle(one) && (
            <Pick
              name={texts.entered.axle}
              choices={[
                ['front', texts.entered.front],
                ['rear', texts.entered.rear],
              ]}
              chosen={draft.front ? 'front' : 'rear'}
              onPick={(axle) => put({ front: axle === 'front' })}
              testid="figures-axle"
            />
          )}
          {ofWheel(one) && <Pick name={texts.entered.wheel} choices={CORNERS.map((c) => [c, texts.mounts[c]] as const)} chosen={draft.corner} onPick={(corner) => put({ corner })} testid="figures-corner" />}
          {/* The flange of the car's data counts until another diameter is typed. */}
          {one === 'strings' && (
            <div class="measures">
              <Typed field="front_diameter" blamed={blamed} empty={flange_mm.front || texts.entered.unknown} />
              <Typed field="rear_diameter" blamed={blamed} empty={flange_mm.rear || texts.entered.unknown} />
            </div>
          )}
          {one === 'gap' && <Typed field="diameter" blamed={blamed} empty={(draft.front ? flange_mm.front : flange_mm.rear) || texts.entered.unknown} />}
          {one === 'strings' ? (
            <StringWheels blamed={blamed} />
          ) : (
            <div class="measures">
              {SINGLE[one].map((field) => (
                <Typed key={field} field={field} name={texts.entered.names[one]?.[field] ?? texts.entered.field[field] ?? field} blamed={blamed} />
              ))}
            </div>
          )}
          {halfTurned(one) && <p class="hint">{texts.entered.halfTurn}</p>}
          {one === 'gap' && (
            <button type="button" class="side carried" aria-pressed={draft.carried_round} onClick={() => put({ carried_round: !draft.carried_round })} data-testid="figures-carried">
              {texts.entered.carried}
            </button>
          )}
          {BESIDE[one].length > 0 && (
            <div class="measures">
              {BESIDE[one].map((field) => (
                <Typed key={field} field={field} blamed={blamed} empty={texts.entered.usual} />
              ))}
            </div>
          )}
          <Refusal by="figures" />
          {taken.value === one && (
            <p class="taken" role="status" data-testid="figures-taken">
              <Shape name="done" /> {texts.entered.taken}
            </p>
          )}
          <button type="submit" class="deed-button deed-button-large" disabled={busy.value || read.kind !== 'ready'} data-testid="figures-take">
            {texts.entered.take}
          </button>
        </div>
      </div>
    </form>
  );
}
