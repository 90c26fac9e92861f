// How each board sits on its wheel, what the run-out found, and the start of one.
import type { AxisName, RunOutResultView, RunOutView, StateView } from '../contract/types';
import { asking, requestBodyHeading, requestRunOut, requestRunOutForget } from '../state';
import { inOrder } from '../state/findings';
import { angle, angleSize, expandedAngle, plain } from '../state/shown';
import { readySound } from '../state/voice';
import { texts } from '../texts';
import { PrimaryButton } from './primary-button';
import { Shape } from './shapes';
import { Trouble } from './trouble';

export const AXES: readonly AxisName[] = ['+x', '-x', '+y', '-y', '+z', '-z'];

function start(wheel: RunOutView, jacked: boolean): void {
  readySound();
  void requestRunOut(wheel.mount, jacked);
}

function Result({ result }: { result: RunOutResultView }) {
  return (
    <div class="run-out-result" data-testid="run-out-result" data-lean-deg={result.lean_expanded_deg}>
      <p>
        <b>{texts.runOut.found(expandedAngle(result.lean_expanded_deg), expandedAngle(result.heading_expanded_deg))}</b>{' '}
        {texts.runOut.stops(result.stops, plain(result.arc_deg, 0))}.{' '}
        {result.off_cone_deg == null ? texts.runOut.notWatched : texts.runOut.offCone(angleSize(result.off_cone_deg))}
      </p>
      <p>
        {texts.runOut.outboardBy[result.outboard_by]} {result.off_declared_deg != null && texts.runOut.offDeclared(angleSize(result.off_declared_deg, 1))}
      </p>
      <p>
        {texts.runOut.leanThere(angle(result.lean_there_deg, 1))} {result.body_seen && texts.runOut.body.seen}
      </p>
    </div>
  );
}

function WheelCard({ wheel, live }: { wheel: RunOutView; live: boolean }) {
  const deed = wheel.sits_by === 'run_out' ? 'done' : wheel.phase === 'refused' ? 'refused' : 'idle';
  const button = (jacked: boolean) => (
    <PrimaryButton
      of={`run_out/${wheel.mount}/${wheel.run}`}
      keyed={jacked && (wheel.sits_by !== 'run_out' || wheel.phase === 'refused')}
      class={jacked ? 'deed-button' : 'quiet'}
      data-testid={`run-out-${jacked ? 'start' : 'roll'}-${wheel.mount}`}
      disabled={asking.value || !live}
      onClick={() => start(wheel, jacked)}
    >
      {jacked ? (wheel.sits_by === 'run_out' ? texts.runOut.again : texts.runOut.jacked) : texts.runOut.rolled}
    </PrimaryButton>
  );
  return (
    <article class="run-out-wheel" data-testid={`sits-${wheel.mount}`} data-sits-by={wheel.sits_by}>
      <h3>
        <Shape name={deed} /> {texts.runOut.line(texts.mounts[wheel.mount], texts.runOut.sitsBy[wheel.sits_by])}
      </h3>
      {wheel.trouble && <Trouble trouble={wheel.trouble} />}
      {wheel.result && <Result result={wheel.result} />}
      <div class="run-out-buttons">
        {button(true)}
        {button(false)}
        {wheel.result && (
          <button type="button" class="quiet" disabled={asking.value} onClick={() => void requestRunOutForget(wheel.mount)} data-testid={`run-out-forget-${wheel.mount}`}>
            {texts.runOut.forget}
          </button>
        )}
      </div>
      {!live && <p class="hint">{texts.boards.noRate}</p>}
    </article>
  );
}

function BodyBoard({ state }: { state: Pick<StateView, 'levelling' | 'boards'> }) {
  const { body } = state.levelling;
  if (!state.boards.some(({ mount }) => mount === 'body')) return null;
  const half = body.jacked_left !== body.jacked_right;
  return (
    <article class="run-out-wheel" data-testid="body-heading" data-by-jackings={body.by_jackings}>
      <h3>
        <Shape name={body.by_jackings || body.forward ? 'done' : 'idle'} /> {texts.runOut.body.title}
      </h3>
      <p>{body.by_jackings ? texts.runOut.body.byJackings : body.forward ? texts.runOut.body.forward(body.forward) : half ? texts.runOut.body.half : texts.runOut.body.none}</p>
      {!body.by_jackings && (
        <div class="axes" role="group" aria-label={texts.runOut.body.title}>
          {AXES.map((axis) => (
            <button
              key={axis}
              type="button"
              class="side"
              aria-pressed={body.forward === axis}
              data-testid={`body-forward-${axis}`}
              disabled={asking.value}
              onClick={() => void requestBodyHeading({ forward: body.forward === axis ? null : axis })}
            >
              {axis}
            </button>
          ))}
        </div>
      )}
    </article>
  );
}

export function RunOutOpen({ state }: { state: Pick<StateView, 'levelling' | 'boards'> }) {
  const isLive = (wheel: RunOutView) => state.boards.some(({ mount, state: link }) => mount === wheel.mount && link === 'live');
  return (
    <div class="swing-start">
      <p class="about">{texts.runOut.about}</p>
      <div class="swing-columns">
        <div>
          <h3>{texts.runOut.beforeTitle}</h3>
          <ol class="cautions">
            {texts.runOut.cautions.map(([what, how]) => (
              <li key={what}>
                <b>{what}.</b> {how}
              </li>
            ))}
          </ol>
        </div>
        <div class="run-out-choose">
          {inOrder(state.levelling.run_outs).map((wheel) => (
            <WheelCard key={wheel.mount} wheel={wheel} live={isLive(wheel)} />
          ))}
          <BodyBoard state={state} />
        </div>
      </div>
    </div>
  );
}
