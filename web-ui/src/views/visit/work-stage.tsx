// One step of adjusting takes the whole screen: where the wheel stands now, where it should be,
// and which way to go, to be read from under the car.
import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Optional, Place, Quantity, StateView, Unit, VisitView, WorkStepView } from '../../contract/types';
import { factorFor } from '../../picture/plumb';
import { daemonNow_us, isOld, openByHand } from '../../state';
import { age, expandedValue, timeOnly, value, valueSize } from '../../state/shown';
import type { Line } from '../../state/steps';
import { panel } from '../../state/visit';
import { wordsWidth_em } from '../../format/numbers';
import { agedCamber, isCorner, limitsOf, liveWheel, wayToGo, type Way } from '../../state/work';
import { texts } from '../../texts';
import { towardWords } from '../../texts/phrases';
import { Figure } from '../figure';
import { Plumb } from '../plumb';
import { PrimaryButton } from '../primary-button';
import { Shape } from '../shapes';
import { BigWords } from '../words';
import { AdjustingSwitch, useSpokenWay } from './adjusting-tone';
import { beginMove, MovedForm } from './moved';
import { StepAdvice, stepName } from './work';

/** What stands below the figure: the advice, the form of a move, or what to do after it. */
const below = signal<'advice' | 'moved' | 'again'>('advice');

const MEASURED_ON: Partial<Record<Quantity, Line>> = { camber: 'camber', caster: 'swing', sai: 'swing', included_angle: 'swing' };

function leave(to: Line | null): void {
  below.value = 'advice';
  panel.value = null;
  if (to !== null) openByHand(to);
}

interface Now {
  value: number;
  expanded: number;
  sense: string;
  /** How old, or since when; live values are of now. */
  when: { live: boolean; words: string };
}

/** What counts as now: the live wheel for camber, else what was found last. */
function standsAt(state: StateView, visit: VisitView, step: WorkStepView): Now | { missing: string } {
  const wheel = liveWheel(state.wheels, step.quantity, step.place);
  const aged = wheel && agedCamber(wheel, daemonNow_us.value, isOld.value);
  if (aged) return { ...aged, when: { live: aged.live, words: aged.live ? texts.work.live : texts.camber.ago(age(aged.age_s)) } };
  if (wheel?.camber.status === 'missing') return { missing: wheel.camber.text };
  const found = visit.findings.findLast(({ quantity, place }) => quantity === step.quantity && place === step.place);
  return { value: step.value, expanded: step.expanded, sense: found?.sense ?? '', when: { live: false, words: texts.work.standing(found ? timeOnly(found.at) : '–') } };
}

function Band({ way, step }: { way: Way | null; step: WorkStepView }) {
  const there = way?.kind === 'there';
  const words = way === null ? texts.work.title : there ? texts.work.there : towardWords(step.quantity, way.toward);
  return (
    <div class={`deed ${there || way?.kind === 'enough' ? 'deed-hold' : 'deed-move'} way-band`} data-testid="way" data-way={way?.kind ?? 'unknown'}>
      <Shape name={there ? 'inside' : 'move'} />
      <div class="deed-words">
        <p class="deed-word" aria-live="polite">
          <BigWords words={words} />
        </p>
        {way !== null && way.kind !== 'there' && <p class="way-note">{way.kind === 'enough' ? texts.work.enough : texts.work.toGo}</p>}
      </div>
      {way !== null && way.kind !== 'there' && (
        <p class="way-size">
          <Amount amount={way.size} unit={step.unit} signed={false} />
        </p>
      )}
    </div>
  );
}

/** A value of any unit at full size; angles with raised marks, everything else as it is written. */
function Amount({ amount, unit, signed }: { amount: number; unit: Unit; signed: boolean }) {
  if (unit === 'deg') return <Figure value_deg={amount} decimals={2} sign={signed ? 'own' : 'none'} />;
  const shown = signed ? value(amount, unit) : valueSize(amount, unit);
  return (
    <span class="figure" style={{ '--em': wordsWidth_em(shown).toFixed(3) }}>
      {shown}
    </span>
  );
}

/** Angles that lean from the vertical at a wheel have a picture. */
function Picture({ step, now, place }: { step: WorkStepView; now: Now | null; place: Place }) {
  const { quantity, aim } = step;
  if (!isCorner(place) || (quantity !== 'camber' && quantity !== 'caster' && quantity !== 'sai')) return null;
  const factor = factorFor([aim, ...(now ? [now.value] : [])]);
  return <Plumb angle={quantity} mount={place} measured={now && { value_deg: now.value, expanded_deg: now.expanded }} factor={factor} aim_deg={aim} />;
}

function Below({ visit, step }: { visit: VisitView; step: WorkStepView }) {
  if (below.value === 'moved') {
    return <MovedForm visit={visit} step={step} onKept={() => (below.value = 'again')} onCancel={() => (below.value = 'advice')} />;
  }
  if (below.value === 'again') {
    return (
      <section class="again" data-testid="measure-again">
        <h3>{texts.work.again}</h3>
        <p>{texts.work.againSay}</p>
        {step.after.length > 0 && (
          <ol class="cautions">
            {step.after.map((one) => (
              <li key={one}>{one}</li>
            ))}
          </ol>
        )}
      </section>
    );
  }
  return (
    <section class="step-words">
      <StepAdvice step={step} known />
      {step.adjuster == null && <p class="hint">{texts.work.noAdjuster}</p>}
      {step.cautions.length > 0 && (
        <ul class="mind" id="step-cautions" aria-label={texts.work.cautions}>
          {step.cautions.map((caution) => (
            <li key={caution}>
              <Shape name="mind" /> {caution}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

function Limits({ visit, step }: { visit: VisitView; step: WorkStepView }) {
  const limits = limitsOf(visit, step);
  const text = (of: Optional<number>): string | null => (of == null ? null : value(of, step.unit));
  const [low, high] = [text(limits?.low), text(limits?.high)];
  return (
    <p class="work-aim">
      {texts.work.aim} <b>{value(step.aim, step.unit)}</b>
      {(low !== null || high !== null) && <span class="hint">{` ${texts.work.limits} ${low ?? '…'} … ${high ?? '…'}`}</span>}
    </p>
  );
}

export function WorkStage({ state, visit, step }: { state: StateView; visit: VisitView; step: WorkStepView }) {
  const at = standsAt(state, visit, step);
  const now = 'missing' in at ? null : at;
  const way = now && wayToGo(now.value, now.expanded, step.aim, limitsOf(visit, step));
  useSpokenWay(step, way);
  const form = below.value !== 'advice';
  useEffect(() => window.scrollTo(0, 0), []);
  return (
    <div class={`stage stage-work${form ? ' stage-work-form' : ''}`} data-testid="work-stage">
      <h2 class="unseen">{stepName(visit, step)}</h2>
      <Band way={way} step={step} />
      <section class={`work-now${now?.when.live === false && isOld.value ? ' wheel-old' : ''}`}>
        <header class="work-head">
          <h3>
            {stepName(visit, step)}
            {now && <span class={now.when.live ? 'fresh' : 'aged'}>{now.when.words}</span>}
          </h3>
          <Limits visit={visit} step={step} />
        </header>
        {now ? (
          <>
            <p class="work-figure" data-testid="work-value" data-value={now.value} data-expanded={now.expanded}>
              <Amount amount={now.value} unit={step.unit} signed />
            </p>
            <p class="work-words">
              <span class="sense">{now.sense}</span> <span class="interval">{texts.findings.interval(expandedValue(now.expanded, step.unit))}</span>
            </p>
          </>
        ) : (
          <p class="missing-text">{'missing' in at ? at.missing : ''}</p>
        )}
      </section>
      <Picture step={step} now={now} place={step.place} />
      <Below visit={visit} step={step} />
      <footer class="stage-foot" hidden={below.value === 'moved'}>
        <button type="button" class="quiet" onClick={() => leave(null)} data-testid="work-back">
          {texts.work.back}
        </button>
        {below.value === 'advice' && step.cautions.length > 0 && (
          <button type="button" class="mind-first" onClick={() => document.getElementById('step-cautions')?.scrollIntoView({ block: 'end', behavior: 'instant' })}>
            <Shape name="mind" /> {texts.work.mindFirst(step.cautions.length)}
          </button>
        )}
        {below.value === 'advice' && <AdjustingSwitch />}
        {below.value === 'again' ? (
          <PrimaryButton of="again" class="deed-button deed-button-large" onClick={() => leave(MEASURED_ON[step.quantity] ?? 'figures')} data-testid="work-again">
            {texts.work.measureAgain}
          </PrimaryButton>
        ) : (
          below.value === 'advice' && (
            <PrimaryButton
              of={`moved/${step.quantity}/${step.place}`}
              class="deed-button deed-button-large"
              data-testid="work-moved"
              onClick={() => {
                beginMove(visit, step);
                below.value = 'moved';
              }}
            >
              {texts.work.moved}
            </PrimaryButton>
          )
        )}
      </footer>
    </div>
  );
}

