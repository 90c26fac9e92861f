// A guided check under way takes the whole screen: one word, one sentence, one figure.
import { signal } from '@preact/signals';
import type { CheckView, CheckWants, StateView } from '../../contract/types';
import { checkDeed, figuresOf, isTimed, wantedFields } from '../../state/checks';
import { wishCheck } from '../../state/checking';
import { angle, expandedValue, seconds, value } from '../../state/shown';
import { busy } from '../../state/visit';
import { texts } from '../../texts';
import { Band } from '../band';
import { BoardsStrip } from '../boards';
import { CamberLine } from '../camber';
import { Field } from '../field';
import { Figure } from '../figure';
import { PrimaryButton } from '../primary-button';
import { Refusal } from '../refusal';
import { Shape } from '../shapes';
import { steerWord } from '../steer-word';
import { Tape } from '../tape';
import { MarkedWords } from '../words';

/** Figures being typed, with the stop they belong to: another stop begins with empty fields. */
const drafts = signal<{ stop: string; typed: Readonly<Record<string, string>> }>({ stop: '', typed: {} });

function Wanted({ check, wants }: { check: CheckView; wants: CheckWants }) {
  const stop = `${check.run}/${check.taken}/${wants.what}/${wants.position ?? ''}`;
  const typed = drafts.value.stop === stop ? drafts.value.typed : {};
  const figures = figuresOf(wants, typed);
  const stepping = wants.may_step && (typed['height'] ?? '').trim() === '';
  return (
    <form
      class="check-wanted"
      data-testid="check-wanted"
      data-what={wants.what}
      data-stop={stop}
      onSubmit={(event) => {
        event.preventDefault();
        if (figures) void wishCheck.figures(figures);
      }}
    >
      {wants.position != null && <p class="sense">{texts.check.positions[wants.position]}</p>}
      <div class="measures">
        {wantedFields(wants).map((field) => {
          const [name, unit] = texts.check.field[field] ?? [field, ''];
          return <Field key={field} name={name} unit={unit} typed={typed[field] ?? ''} onType={(text) => (drafts.value = { stop, typed: { ...typed, [field]: text } })} testid={`check-figure-${field}`} />;
        })}
      </div>
      <PrimaryButton of={`check_take/${stop}/${stepping}`} type="submit" class="deed-button deed-button-large" disabled={busy.value || figures === null} data-testid="check-figure-take">
        {stepping ? texts.check.step : texts.check.take}
      </PrimaryButton>
    </form>
  );
}

function Middle({ check }: { check: CheckView }) {
  if (check.wants) return <Wanted check={check} wants={check.wants} />;
  const last = check.stops.at(-1);
  const steer_deg = check.steer_deg ?? null;
  const toe = check.carried;
  return (
    <section class="check-now">
      <p class="check-taken" data-testid="check-taken" data-taken={check.taken}>
        {texts.check.taken(check.taken, check.wanted ?? null)}
      </p>
      {steer_deg !== null && (
        <>
          <p class="steer-figure">
            <Figure value_deg={steer_deg} decimals={1} room_deg={39.9} />
          </p>
          <p class="sense">{steerWord(steer_deg)}</p>
          <Tape steer_deg={steer_deg} rests={[]} />
        </>
      )}
      {steer_deg === null && isTimed(check.phase) && (
        <p class="check-countdown">
          <MarkedWords words={texts.check.left(seconds(Math.max(0, check.hold_needed_s - check.held_s)))} />
        </p>
      )}
      {toe?.value_deg != null && (
        <p class="work-words" data-testid="check-so-far">
          {value(toe.value_deg, 'deg')} {texts.findings.interval(expandedValue(toe.expanded_deg ?? 0, 'deg'))}
        </p>
      )}
      {last?.camber_deg != null && <p class="work-words">{texts.swing.camberThere(angle(last.camber_deg))}</p>}
    </section>
  );
}

export function CheckStage({ state, check }: { state: StateView; check: CheckView }) {
  const name = check.kind == null ? texts.check.title : texts.check.kinds[check.kind][0];
  return (
    <div class="stage stage-check" data-testid="check-stage" data-kind={check.kind}>
      <h2 class="unseen">{name}</h2>
      <Band
        deed={checkDeed(check.phase)}
        words={texts.check.phase[check.phase]}
        word={{ 'data-testid': 'check-phase', 'data-phase': check.phase, 'data-run': check.run }}
        hold={isTimed(check.phase) ? check : null}
        holdWords={texts.check.held}
        holdTestid="check-hold"
      />
      <p class="say" aria-live="polite" data-testid="check-say">
        {check.say}{' '}
        <small>
          {name}
          {check.mount != null && `, ${texts.mounts[check.mount]}`}
        </small>
      </p>
      <div class="check-middle">
        {check.cautions.length > 0 && (
          <ul class="mind">
            {check.cautions.map((caution) => (
              <li key={caution}>
                <Shape name="mind" /> {caution}
              </li>
            ))}
          </ul>
        )}
        <Middle check={check} />
        <Refusal by="check" />
      </div>
      <footer class="stage-foot">
        <div>
          <CamberLine wheels={state.wheels} />
          <BoardsStrip boards={state.boards} brief />
        </div>
        <div class="stage-buttons">
          {check.carried?.with_edge && (
            <button type="button" class="quiet" disabled={busy.value} onClick={() => void wishCheck.figures([{ what: 'edge_next' }])} data-testid="check-edge-next">
              {texts.check.edgeNext}
            </button>
          )}
          {check.can_finish && (
            <PrimaryButton of={`check_end/${check.run}`} keyed={check.wants == null} class="deed-button" disabled={busy.value} onClick={() => void wishCheck.finish()} data-testid="check-finish">
              {texts.check.finish}
            </PrimaryButton>
          )}
          <button type="button" class="cancel" disabled={busy.value} onClick={() => void wishCheck.cancel()} data-testid="check-cancel">
            {texts.check.cancel}
          </button>
        </div>
      </footer>
    </div>
  );
}
