// The first run takes the whole screen: one thing at a time, from no board to a live angle.
import type { StateView } from '../../contract/types';
import { firstChoices, firstStepNow, closeFirstRun } from '../../state/placing';
import { FIRST_STEPS, type FirstStep } from '../../state/first-run';
import { texts } from '../../texts';
import { Shape } from '../shapes';
import { Calibrate } from './calibrate';
import { Done } from './done';
import { Face } from './face';
import { Find } from './find';
import { Tap } from './tap';

/** The steps on their string: behind, at hand, to come. */
function Steps({ at }: { at: FirstStep }) {
  const reached = FIRST_STEPS.indexOf(at);
  return (
    <ol class="first-steps">
      {FIRST_STEPS.map((step, nth) => (
        <li key={step} class={nth < reached ? 'first-past' : nth === reached ? 'first-at-hand' : undefined} aria-current={nth === reached ? 'step' : undefined}>
          {nth === reached ? <Shape name="bob" /> : nth < reached ? <Shape name="done" /> : null}
          {texts.firstRun.steps[step]}
        </li>
      ))}
    </ol>
  );
}

function Step({ state, at }: { state: StateView; at: FirstStep }) {
  if (at === 'find') return <Find state={state} />;
  if (at === 'tap') return <Tap state={state} />;
  if (at === 'face') return <Face state={state} again={firstChoices.value.again} />;
  if (at === 'calibrate') return <Calibrate state={state} />;
  return <Done state={state} />;
}

export function FirstRun({ state }: { state: StateView }) {
  const at = firstStepNow.value;
  return (
    <div class="first-run" data-testid="first-run" data-step={at}>
      <h2 class="unseen">{texts.firstRun.title}</h2>
      <Steps at={at} />
      <Step state={state} at={at} />
      <footer class="first-foot">
        <button type="button" class="quiet" onClick={closeFirstRun} data-testid="first-away">
          {texts.firstRun.away}
        </button>
      </footer>
    </div>
  );
}
