// Live camber: one very large figure per wheel with its plumb-line picture.
import type { ComponentChild } from 'preact';
import { FRESH_S } from '../contract/clock';
import type { MountView, QuantityView, WheelView } from '../contract/types';
import { factorFor, type Factor } from '../picture/plumb';
import { daemonNow_us, isOld, wheelInFocus } from '../state';
import { age, angle, expandedAngle } from '../state/shown';
import { inOrder } from '../state/findings';
import { texts } from '../texts';
import { Figure } from './figure';
import { Plumb } from './plumb';
import { Shape } from './shapes';

type Known = Extract<QuantityView, { status: 'known' }>;

/** Attributes that carry the value at full precision. */
export function valueAttributes(quantity: QuantityView) {
  return quantity.status === 'known'
    ? { 'data-status': 'known', 'data-value-deg': quantity.value_deg, 'data-expanded-deg': quantity.expanded_deg }
    : { 'data-status': 'missing', 'data-reason': quantity.reason };
}

function Freshness({ quantity }: { quantity: Known }) {
  const age_s = (daemonNow_us.value - quantity.at_us) / 1e6;
  const fresh = age_s < FRESH_S && !isOld.value;
  return <span class={fresh ? 'fresh' : 'aged'}>{fresh ? texts.camber.fresh : texts.camber.ago(age(age_s))}</span>;
}

export function commonFactor(wheels: readonly WheelView[]): Factor {
  return factorFor(wheels.flatMap(({ camber }) => (camber.status === 'known' ? [camber.value_deg] : [])));
}

/** What else is said of a known camber, below its words. */
type Note = (mount: MountView, camber: Known) => ComponentChild;

interface WheelProps {
  wheel: WheelView;
  note?: Note | undefined;
  factor: Factor;
  alone: boolean;
}

export function Wheel({ wheel, factor, alone, note }: WheelProps) {
  const { mount, camber, motion } = wheel;
  const known = camber.status === 'known';
  return (
    <article class={`wheel${isOld.value ? ' wheel-old' : ''}`} data-testid={`camber-${mount}`} data-motion={motion} {...valueAttributes(camber)}>
      <div class="wheel-in">
      <header class="wheel-head">
        <h3>{texts.mounts[mount]}</h3>
        <p class={`motion motion-${motion}`}>
          <Shape name={motion === 'still' ? 'hold' : motion === 'moving' ? 'move' : 'listening'} />
          {texts.camber.motion[motion]}
        </p>
        <button
          type="button"
          class="quiet"
          aria-label={alone ? texts.camber.shrink : texts.camber.enlarge(texts.mounts[mount])}
          onClick={() => (wheelInFocus.value = alone ? null : mount)}
        >
          {alone ? texts.camber.all : <Shape name="enlarge" />}
        </button>
      </header>
      {known ? (
        <>
          <p class="wheel-figure">
            <Figure value_deg={camber.value_deg} decimals={2} />
          </p>
          <div class="wheel-words">
            <p class="sense">{camber.sense}</p>
            <p class="interval">{texts.findings.interval(expandedAngle(camber.expanded_deg))}</p>
            <p class="age">
              <Freshness quantity={camber} />
            </p>
            {note?.(mount, camber)}
          </div>
        </>
      ) : (
        <div class="wheel-missing">
          <p class="missing-mark">{texts.camber.noValue}</p>
          <p class="missing-text">{camber.text}</p>
        </div>
      )}
      <Plumb angle="camber" mount={mount} measured={known ? camber : null} factor={factor} />
      </div>
    </article>
  );
}

export function CamberOpen({ wheels, note }: { wheels: readonly WheelView[]; note?: Note }) {
  if (wheels.length === 0) return <p class="hint">{texts.camber.none}</p>;
  const alone = wheels.find((wheel) => wheel.mount === wheelInFocus.value);
  const shown = alone ? [alone] : inOrder(wheels);
  const factor = commonFactor(shown);
  const arrangement = alone ? 'wheels-focus' : shown.length > 2 ? 'wheels-many' : `wheels-${shown.length}`;
  return (
    <div class={`wheels ${arrangement}`}>
      {shown.map((wheel) => (
        <Wheel key={wheel.mount} wheel={wheel} factor={factor} alone={wheel === alone} note={note} />
      ))}
    </div>
  );
}

/** Camber as a line: for the closed step and for the foot of a running swing. */
export function CamberLine({ wheels }: { wheels: readonly WheelView[] }) {
  return (
    <span class={`camber-line${isOld.value ? ' wheel-old' : ''}`}>
      {inOrder(wheels).map(({ mount, camber }) => (
        <span key={mount} class="camber-item" data-testid={`camber-${mount}`} {...valueAttributes(camber)}>
          {texts.mounts[mount]}{' '}
          {camber.status === 'known' ? (
            <>
              <b>{angle(camber.value_deg)}</b> {camber.sense} {texts.findings.interval(expandedAngle(camber.expanded_deg))}
            </>
          ) : (
            <i>{camber.text}</i>
          )}
        </span>
      ))}
    </span>
  );
}
