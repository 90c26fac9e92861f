// A wheel being turned on its bearing takes the whole screen: one word, one sentence, one figure.
import type { RunOutView, StateView } from '../contract/types';
import { asking, requestRunOutCancel, requestRunOutFinish } from '../state';
import { running, runOutDeed } from '../state/levelling';
import { plain } from '../state/shown';
import { texts } from '../texts';
import { Band } from './band';
import { BoardsStrip } from './boards';
import { PrimaryButton } from './primary-button';

const QUARTERS_DEG = [0, 90, 180, 270] as const;
/** Nearer than this to a quarter counts as there; the daemon judges what it is worth. */
const NEAR_DEG = 20;

/** The wheel as far as it was turned, its quarters as knots, and the plumb line that it turns against. */
function Round({ arc_deg, stops }: { arc_deg: number; stops: number }) {
  const share = Math.min(1, arc_deg / 360);
  return (
    <svg class="run-out-round" viewBox="0 0 120 120" aria-hidden="true">
      <circle cx="60" cy="60" r="48" class="run-out-round-all" pathLength={1} />
      <circle cx="60" cy="60" r="48" class="run-out-round-done" pathLength={1} stroke-dasharray={`${share} 1`} transform="rotate(-90 60 60)" />
      <path class="plumb-string" d="M60 60V80" />
      <circle class="plumb-peg" cx="60" cy="60" r="3.5" />
      <path class="plumb-bob" d="M55 78h10l1.5 5-6.5 17-6.5-17z" />
      {QUARTERS_DEG.map((quarter_deg) => (
        <path
          key={quarter_deg}
          class={stops > 0 && quarter_deg <= arc_deg + NEAR_DEG ? 'run-out-knot run-out-knot-done' : 'run-out-knot'}
          d="M60 6l6 6-6 6-6-6z"
          transform={`rotate(${quarter_deg} 60 60)`}
        />
      ))}
    </svg>
  );
}

function Turning({ wheel }: { wheel: RunOutView }) {
  return (
    <section class="run-out-turning" data-testid={`run-out-${wheel.mount}`} data-stops={wheel.stops} data-arc-deg={wheel.arc_deg}>
      <h3>{texts.mounts[wheel.mount]}</h3>
      <Round arc_deg={wheel.arc_deg} stops={wheel.stops} />
      <p class="run-out-stops matter">{wheel.stops}</p>
      <p class="sense">{texts.runOut.stops(wheel.stops, plain(wheel.arc_deg, 0))}</p>
    </section>
  );
}

function Buttons({ wheel }: { wheel: RunOutView }) {
  return (
    <>
      {wheel.would_do && (
        <PrimaryButton of={`run_out_end/${wheel.mount}/${wheel.run}`} class="deed-button" data-testid={`run-out-finish-${wheel.mount}`} disabled={asking.value} onClick={() => void requestRunOutFinish(wheel.mount)}>
          {texts.runOut.finish}
        </PrimaryButton>
      )}
      <button type="button" class="cancel" data-testid={`run-out-cancel-${wheel.mount}`} disabled={asking.value} onClick={() => void requestRunOutCancel(wheel.mount)}>
        {texts.runOut.cancel}
      </button>
    </>
  );
}

export function RunOutStage({ state }: { state: StateView }) {
  const wheels = running(state);
  const first = wheels[0];
  if (!first) return null;
  return (
    <div class="stage stage-run-out">
      <h2 class="unseen">{texts.runOut.title}</h2>
      <Band
        deed={runOutDeed(first.phase)}
        words={texts.runOut.phase[first.phase]}
        word={{ 'data-testid': `run-out-phase-${first.mount}`, 'data-phase': first.phase, 'data-run': first.run }}
        hold={first.phase === 'hold' ? first : null}
      />
      <p class="say" aria-live="polite" data-testid="run-out-say">
        {first.say}
      </p>
      <div class="run-out-wheels">
        {wheels.map((wheel) => (
          <Turning key={wheel.mount} wheel={wheel} />
        ))}
      </div>
      <footer class="stage-foot">
        <div>
          <BoardsStrip boards={state.boards} brief />
        </div>
        <div class="stage-buttons">
          {wheels.map((wheel) => (
            <Buttons key={wheel.mount} wheel={wheel} />
          ))}
        </div>
      </footer>
    </div>
  );
}
