// One step of adjusting takes the whole screen: where the wheel stands now, where it should be,
// and which way to go, to be read from under the car.
import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Optional, Place, Quantity, StateView, VisitView, WorkStepView } from '../../contract/types';
import { factorFor } from '../../picture/plumb';
import { daemonNow_us, isOld, openByHand } from '../../state';
import { age, expandedValue, timeOnly, value, valueSize } from '../../state/shown';
import type { Line } from '../../state/steps';
import { panel } from '../../state/visit';
import { isCorner, limitsOf, liveWheel, wayToGo, type Way } from '../../state/work';
import { texts } from '../../texts';
import { towardWords } from '../../texts/phrases';
import { Figure } from '../figure';
import { Plumb } from '../plumb';
import { Shape } from '../shapes';
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
  if (wheel?.camber.status === 'known') {
    const { value_deg, expanded_deg, sense, at_us } = wheel.camber;
    const age_s = Math.max(0, (daemonNow_us.value - at_us) / 1e6);
    const live = age_s < 1.5 && !isOld.value;
    return { value: value_deg, expanded: expanded_deg, sense, when: { live, words: live ? texts.work.live : texts.camber.ago(age(age_s)) } };
  }
  if (wheel) return { missing: wheel.camber.text };
  const found = visit.findings.findLast(({ quantity, place }) => quantity === step.quantity && place === step.place);
  return { value: step.value, expanded: step.expanded, sense: found?.sense ?? '', when: { live: false, words: texts.work.standing(found ? timeOnly(found.at) : '–') } };
}

function Band({ way, step }: { way: Way | null; step: WorkStepView }) {
  const there = way?.kind === 'there';
  const words = way === null ? texts.work.title : there ? texts.work.there : towardWords(step.quantity, way.toward);
  const size = way === null || there ? '' : valueSize(way.size, step.unit);
  return (
    <div class={`deed ${there || way?.kind === 'enough' ? 'deed-hold' : 'deed-move'} way-band`} style={{ '--letters': words.length + size.length }} data-testid="way" data-way={way?.kind ?? 'unknown'}>
      <Shape name={there ? 'inside' : 'move'} />
      <p class="deed-word">{words}</p>
      {way !== null && way.kind !== 'there' && (
        <p class="way-size">
          {size} <small>{texts.work.toGo}</small>
          {way.kind === 'enough' && <small class="way-enough">{texts.work.enough}</small>}
        </p>
      )}
    </div>
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
              {step.unit === 'deg' ? <Figure value_deg={now.value} decimals={2} /> : <span class="work-plain">{value(now.value, step.unit)}</span>}
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
        {below.value === 'again' ? (
          <button type="button" class="deed-button deed-button-large" onClick={() => leave(MEASURED_ON[step.quantity] ?? 'figures')} data-testid="work-again">
            {texts.work.measureAgain}
          </button>
        ) : (
          below.value === 'advice' && (
            <button
              type="button"
              class="deed-button deed-button-large"
              data-testid="work-moved"
              onClick={() => {
                beginMove(visit, step);
                below.value = 'moved';
              }}
            >
              {texts.work.moved}
            </button>
          )
        )}
      </footer>
    </div>
  );
}

