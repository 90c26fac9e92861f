// A wheel being turned on its bearing takes the whole screen: one word, one sentence, one figure.
import type { RunOutView, StateView } from '../contract/types';
import { asking, requestRunOutCancel, requestRunOutFinish } from '../state';
import { running, runOutDeed } from '../state/levelling';
import { plain, seconds } from '../state/shown';
import { heldShare } from '../state/steps';
import { texts } from '../texts';
import { BoardsStrip } from './boards';
import { Shape } from './shapes';

function Deed({ wheel }: { wheel: RunOutView }) {
  const deed = runOutDeed(wheel.phase);
  const text = texts.swing.held(seconds(wheel.held_s), seconds(wheel.hold_needed_s));
  return (
    <div class={`deed deed-${deed}`}>
      <Shape name={deed} />
      <div class="deed-words">
        <p class="deed-word" data-testid={`run-out-phase-${wheel.mount}`} data-phase={wheel.phase} data-run={wheel.run}>
          {texts.runOut.phase[wheel.phase]}
        </p>
        {deed === 'hold' && (
          <div class="hold">
            <div
              class="hold-bar"
              role="progressbar"
              aria-valuemin={0}
              aria-valuemax={wheel.hold_needed_s}
              aria-valuenow={wheel.held_s}
              aria-valuetext={text}
            >
              <span style={{ width: `${heldShare(wheel) * 100}%` }} />
            </div>
            <p>{text}</p>
          </div>
        )}
      </div>
    </div>
  );
}

/** Where on the circle the wheel was read, as far as it reaches; full when nothing is missing. */
function Round({ arc_deg }: { arc_deg: number }) {
  const share = Math.min(1, arc_deg / 360);
  return (
    <svg class="run-out-round" viewBox="0 0 120 120" aria-hidden="true">
      <circle cx="60" cy="60" r="50" class="run-out-round-all" pathLength={1} />
      <circle cx="60" cy="60" r="50" class="run-out-round-done" pathLength={1} stroke-dasharray={`${share} 1`} transform="rotate(-90 60 60)" />
    </svg>
  );
}

function Turning({ wheel }: { wheel: RunOutView }) {
  return (
    <section class="run-out-turning" data-testid={`run-out-${wheel.mount}`} data-stops={wheel.stops} data-arc-deg={wheel.arc_deg}>
      <h3>{texts.mounts[wheel.mount]}</h3>
      <Round arc_deg={wheel.arc_deg} />
      <p class="run-out-stops">{wheel.stops}</p>
      <p class="sense">{texts.runOut.stops(wheel.stops, plain(wheel.arc_deg, 0))}</p>
      <div class="run-out-buttons">
        {wheel.would_do && (
          <button type="button" class="deed-button" data-testid={`run-out-finish-${wheel.mount}`} disabled={asking.value} onClick={() => void requestRunOutFinish(wheel.mount)}>
            {texts.runOut.finish}
          </button>
        )}
        <button type="button" class="cancel" data-testid={`run-out-cancel-${wheel.mount}`} disabled={asking.value} onClick={() => void requestRunOutCancel(wheel.mount)}>
          {texts.runOut.cancel}
        </button>
      </div>
    </section>
  );
}

export function RunOutStage({ state }: { state: StateView }) {
  const wheels = running(state);
  const first = wheels[0];
  if (!first) return null;
  return (
    <div class="stage stage-run-out">
      <h2 class="unseen">{texts.runOut.title}</h2>
      <Deed wheel={first} />
      <p class="say" aria-live="polite" data-testid="run-out-say">
        {first.say}
      </p>
      <div class="run-out-wheels">
        {wheels.map((wheel) => (
          <Turning key={wheel.mount} wheel={wheel} />
        ))}
      </div>
      <footer class="stage-foot">
        <BoardsStrip boards={state.boards} brief />
      </footer>
    </div>
  );
}
