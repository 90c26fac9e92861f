// What to adjust, in order, each step with its reason and its cautions.
import type { VisitView, WorkStepView } from '../../contract/types';
import { expandedValue, value as inWords } from '../../state/shown';
import { panel } from '../../state/visit';
import { commonCautions } from '../../state/work';
import { texts } from '../../texts';
import { PrimaryButton } from '../primary-button';
import { Refusal } from '../refusal';
import { Shape } from '../shapes';
import { GoOn } from './stage-bar';

/** The name of what a step sets, with its place, as the table words it. */
export function stepName(visit: VisitView, step: Pick<WorkStepView, 'quantity' | 'place'>): string {
  const known = visit.findings.find(({ quantity, place }) => quantity === step.quantity && place === step.place);
  return known ? `${known.name} ${known.place_words}` : `${step.quantity} ${step.place}`.replaceAll('_', ' ');
}

export function StepAdvice({ step, known = false }: { step: WorkStepView; known?: boolean }) {
  return (
    <p class="step-advice" data-testid="step-advice">
      {step.adjuster != null && <b>{texts.work.by(step.adjuster)}: </b>}
      {step.say}
      {known && step.known_from !== '' && <small class="hint"> {texts.work.known(step.known_from)}</small>}
    </p>
  );
}

function Cautions({ cautions }: { cautions: readonly string[] }) {
  if (cautions.length === 0) return null;
  return (
    <ul class="mind" aria-label={texts.work.cautions}>
      {cautions.map((caution) => (
        <li key={caution}>
          <Shape name="mind" /> {caution}
        </li>
      ))}
    </ul>
  );
}

function Step({ step, visit, first, common }: { step: WorkStepView; visit: VisitView; first: boolean; common: readonly string[] }) {
  const { quantity, place, value, expanded, aim, unit } = step;
  return (
    <li class="step" data-testid={`step-${quantity}-${place}`} data-order={step.order} data-value={value} data-expanded={expanded} data-aim={aim} data-adjuster={step.adjuster ?? ''}>
      <div class="step-head">
        <span class="step-order">
          <span>{step.order}</span>
        </span>
        <h3>{stepName(visit, step)}</h3>
        <p class="step-figures">
          <b>{inWords(value, unit)}</b> <span class="interval">{texts.findings.interval(expandedValue(expanded, unit))}</span> → {texts.work.aim}{' '}
          <b>{inWords(aim, unit)}</b>
        </p>
        <PrimaryButton of={`step/${quantity}/${place}`} keyed={first} class={first ? 'deed-button' : 'quiet'} onClick={() => (panel.value = { kind: 'work', step })} data-testid={`step-open-${quantity}-${place}`}>
          {texts.work.open}
        </PrimaryButton>
      </div>
      <StepAdvice step={step} />
      <p>
        <b>{texts.work.because}</b> {step.reason}
      </p>
      {step.changes.length > 0 && (
        <p class="hint">
          <b>{texts.work.changes}</b> {step.changes.join('; ')}
        </p>
      )}
      <Cautions cautions={step.cautions.filter((caution) => !common.includes(caution))} />
    </li>
  );
}

export function WorkSummary({ visit }: { visit: VisitView }) {
  const [first] = visit.work;
  return <span>{first === undefined ? texts.work.none : `${texts.work.line(visit.work.length)} – ${stepName(visit, first)}`}</span>;
}

export function WorkOpen({ visit }: { visit: VisitView }) {
  const common = commonCautions(visit.work);
  return (
    <div class="work">
      <Refusal by="work" />
      {visit.work.length === 0 ? (
        <p class="hint">{texts.work.none}</p>
      ) : (
        <>
          <p class="about">{texts.work.about}</p>
          <Cautions cautions={common} />
          <ol class="steps">
            {visit.work.map((step, nth) => (
              <Step key={`${step.quantity} ${step.place}`} step={step} visit={visit} first={nth === 0} common={common} />
            ))}
          </ol>
        </>
      )}
      {visit.moves.length > 0 && (
        <section class="moves">
          <h3>{texts.work.moves}</h3>
          <ul>
            {visit.moves.map((move) => (
              <li key={move.number} data-testid={`move-${move.number}`}>
                <b>{`${move.adjuster}, ${texts.mounts[move.corner]}`}</b> {move.say}
                {move.seen_to.length > 0 && <span class="hint"> – {move.seen_to.map((one) => texts.work.after_move[one]).join(', ')}</span>}
              </li>
            ))}
          </ul>
        </section>
      )}
      {visit.stage === 'before' && <GoOn to="adjusting" words={texts.work.begin} />}
      {visit.stage === 'adjusting' && <GoOn to="after" words={texts.work.goOn} />}
    </div>
  );
}
