// A swing under way takes the whole screen: one state word, one sentence, one figure.
import type { Optional, RestView, StateView, SwingView } from '../contract/types';
import { asking, isOld, requestCancel } from '../state';
import { plateDue } from '../state/plates';
import { angle, angleSize } from '../state/shown';
import { deedOf } from '../state/steps';
import { texts } from '../texts';
import { Band } from './band';
import { BoardsStrip } from './boards';
import { CamberLine } from './camber';
import { Figure } from './figure';
import { PlateForm } from './plate-form';
import { steerWord } from './steer-word';
import { Tape } from './tape';

function SwingBand({ swing }: { swing: SwingView }) {
  const deed = plateDue(swing) ? 'read' : deedOf(swing.phase);
  return (
    <Band
      deed={deed}
      words={deed === 'read' && swing.phase !== 'await_plates' ? texts.swing.readThenMove : texts.swing.phase[swing.phase]}
      word={{ 'data-testid': 'swing-phase', 'data-phase': swing.phase, 'data-run': swing.run }}
      hold={deed === 'hold' ? swing : null}
      holdTestid="swing-hold"
    />
  );
}

function Steer({ swing, steer_deg }: { swing: SwingView; steer_deg: Optional<number> }) {
  return (
    <section class={`steer${isOld.value ? ' wheel-old' : ''}`} aria-labelledby="steer-title">
      <h3 id="steer-title">{texts.swing.steer}</h3>
      {steer_deg == null ? (
        <p class="missing-text">{swing.steer_source === 'plates' ? texts.swing.noSteer : texts.swing.noSteerYet}</p>
      ) : (
        <>
          <p class="steer-figure" data-testid="swing-steer" data-value-deg={steer_deg}>
            <Figure value_deg={steer_deg} decimals={1} room_deg={19.9} />
          </p>
          <p class="sense">{steerWord(steer_deg)}</p>
        </>
      )}
      <Tape steer_deg={steer_deg ?? null} rests={swing.rests} />
    </section>
  );
}

function Rest({ rest }: { rest: RestView }) {
  return (
    <li data-testid={`rest-${rest.index}`}>
      <b>{texts.swing.rest(rest.index, rest.straight)}</b>
      {rest.wheels.map((wheel) => {
        const steer_deg = wheel.plate_deg ?? wheel.steer_deg;
        return (
          <span key={wheel.mount}>
            <span class="rest-wheel">{texts.mounts[wheel.mount]}</span>
            {steer_deg != null && !rest.straight && <span>{texts.swing.steered(angleSize(steer_deg, 1), steer_deg > 0 ? texts.swing.left : texts.swing.right)}</span>}
            <span>{texts.swing.camberThere(angle(wheel.camber_deg))}</span>
          </span>
        );
      })}
    </li>
  );
}

function Rests({ rests }: { rests: readonly RestView[] }) {
  return (
    <section class="rests">
      <h3>{texts.swing.restsTitle}</h3>
      {rests.length === 0 ? (
        <p class="hint">{texts.swing.noRests}</p>
      ) : (
        <ol reversed>
          {rests.toReversed().map((rest) => (
            <Rest key={rest.index} rest={rest} />
          ))}
        </ol>
      )}
    </section>
  );
}

export function Stage({ state }: { state: StateView }) {
  const { swing } = state;
  const reading = plateDue(swing);
  return (
    <div class={`stage${reading ? ' stage-plates' : ''}`}>
      <h2 class="unseen">{texts.swing.title}</h2>
      <SwingBand swing={swing} />
      <p class="say" aria-live="polite" data-testid="swing-say">
        {swing.say}
      </p>
      {reading ? <PlateForm swing={swing} /> : <Steer swing={swing} steer_deg={swing.steer_deg} />}
      {!reading && <Rests rests={swing.rests} />}
      <footer class="stage-foot">
        <div>
          <CamberLine wheels={state.wheels} />
          <BoardsStrip boards={state.boards} brief />
        </div>
        <button type="button" class="cancel" data-testid="swing-cancel" disabled={asking.value} onClick={() => void requestCancel()}>
          {texts.swing.cancel}
        </button>
      </footer>
    </div>
  );
}
