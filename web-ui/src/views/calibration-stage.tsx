// A calibration under way takes the whole screen: how to lay the board, the hold, what is missing.
import type { AxisName, CalibrationProcedureView, CalibrationResultView, EdgeView } from '../contract/types';
import { asking } from '../state';
import { calibrationDeed, nextWay, type OnBench } from '../state/calibration';
import { plain, seconds } from '../state/shown';
import { wish } from '../state/calibrating';
import { texts } from '../texts';
import { Band } from './band';
import { BoardPicture } from './board-picture';
import { Figure } from './figure';
import { PrimaryButton } from './primary-button';
import { Shape } from './shapes';
import { Trouble } from './trouble';
import { MarkedWords } from './words';

const FACES: readonly AxisName[] = ['+z', '-z', '+x', '-x', '+y', '-y'];
const EDGES: readonly EdgeView[] = ['xy', 'xz', 'yz'];

function Way({ name, missing }: { name: string; missing: boolean }) {
  return (
    <li class={missing ? 'way-missing' : 'way-done'}>
      <Shape name={missing ? 'uncalibrated' : 'done'} />
      {name}
      <span class="unseen">{missing ? texts.calibration.missing : texts.calibration.done}</span>
    </li>
  );
}

function Progress({ procedure }: { procedure: CalibrationProcedureView }) {
  if (procedure.kind === 'reversal') {
    return (
      <p class="pose-count" data-testid="calibration-taken" data-taken={procedure.taken}>
        {texts.calibration.rests(procedure.taken)}
      </p>
    );
  }
  return (
    <div class="pose-progress">
      <p class="pose-count" data-testid="calibration-taken" data-taken={procedure.taken}>
        <b>{texts.calibration.poses(procedure.taken)}</b> <span>{texts.calibration.toGo(procedure.to_go)}</span>
      </p>
      <ul class="ways">
        {FACES.map((face) => (
          <Way key={face} name={texts.calibration.face[face]} missing={procedure.missing_faces.includes(face)} />
        ))}
        {EDGES.map((edge) => (
          <Way key={edge} name={texts.calibration.edge[edge]} missing={procedure.missing_edges.includes(edge)} />
        ))}
      </ul>
    </div>
  );
}

function Lay({ procedure }: { procedure: CalibrationProcedureView }) {
  const way = nextWay(procedure);
  // A pose that does not fit comes before the next one.
  const misfit = procedure.worst_pose ?? null;
  const holding = procedure.phase === 'hold';
  const words = () => {
    if (misfit !== null) return texts.calibration.misfit(misfit + 1);
    // It may lie in any way that is missing, so what counts now is the time.
    if (holding) return texts.calibration.left(seconds(Math.max(0, procedure.hold_needed_s - procedure.held_s)));
    return procedure.kind === 'reversal' && procedure.taken === 1 ? texts.calibration.turn : texts.calibration.way(way);
  };
  const drawn = misfit === null && !holding;
  return (
    <section class={drawn ? 'lay' : 'lay lay-undrawn'}>
      {drawn && <BoardPicture way={way} />}
      <div>
        <p class="way-words" data-testid="calibration-way">
          <MarkedWords words={words()} />
        </p>
      </div>
    </section>
  );
}

function Row({ name, children }: { name: string; children: preact.ComponentChildren }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}

function Result({ procedure, result }: { procedure: CalibrationProcedureView; result: CalibrationResultView }) {
  const { worst_pose, worst_mg, temperature_c, temperature_span_c } = result;
  const alone = result.offset_mg.length === 1 ? result.offset_mg[0] : undefined;
  return (
    <section class="calibration-result" data-testid="calibration-result">
      <div>
        <p class="result-figure">
          <Figure value_deg={result.camber_expanded_deg} decimals={2} sign="±" />
        </p>
        <p class="result-name">{texts.calibration.camber}</p>
      </div>
      <div>
        <dl>
          <Row name={texts.calibration.offset}>{texts.calibration.plusMinusMg(plain(result.offset_standard_mg, 2))}</Row>
          {alone !== undefined && <Row name={texts.calibration.found}>{texts.calibration.mg(plain(alone, 2))}</Row>}
          {result.residual_mg != null && <Row name={texts.calibration.residual}>{texts.calibration.mg(plain(result.residual_mg, 2))}</Row>}
          {worst_pose != null && worst_mg != null && (
            <Row name={texts.calibration.worst}>{texts.calibration.worstIs(worst_pose + 1, plain(Math.abs(worst_mg), 2))}</Row>
          )}
          {temperature_c != null && (
            <Row name={texts.calibration.temperature}>{texts.calibration.warmed(plain(temperature_c, 0), temperature_span_c == null ? null : plain(temperature_span_c, 1))}</Row>
          )}
          {procedure.kind === 'poses' && <Row name={texts.calibration.resultPoses}>{procedure.taken}</Row>}
        </dl>
        {result.notes.map((note) => (
          <p class="note" key={note}>
            {note}
          </p>
        ))}
      </div>
    </section>
  );
}

function Buttons({ on: { board, procedure } }: { on: OnBench }) {
  const { id } = board;
  const button = (name: string, testid: string, deed: boolean, act: () => Promise<boolean>, keyed = deed) => (
    <PrimaryButton of={`${testid}/${id}/${procedure.run}`} keyed={keyed} class={deed ? 'deed-button deed-button-large' : 'cancel'} data-testid={testid} disabled={asking.value} onClick={() => void act()}>
      {name}
    </PrimaryButton>
  );
  if (procedure.phase === 'solved') {
    return (
      <>
        {button(texts.calibration.discard, 'calibration-discard', false, () => wish.discard(id))}
        {button(texts.calibration.keep, 'calibration-keep', true, () => wish.keep(id))}
      </>
    );
  }
  if (procedure.phase === 'ended') return button(texts.calibration.close, 'calibration-cancel', true, () => wish.cancel(id));
  const worst = procedure.worst_pose ?? null;
  return (
    <>
      {procedure.kind === 'poses' &&
        procedure.taken > 0 &&
        button(worst === null ? texts.calibration.takeBack : texts.calibration.takeBackPose(worst + 1), 'calibration-take-back', worst !== null, () => wish.takeBack(id, worst), false)}
      {procedure.can_solve && worst === null && button(texts.calibration.solve, 'calibration-solve', true, () => wish.solve(id))}
      {button(texts.calibration.cancel, 'calibration-cancel', false, () => wish.cancel(id))}
    </>
  );
}

export function CalibrationStage({ on }: { on: OnBench }) {
  const { board, procedure } = on;
  const deed = calibrationDeed(procedure.phase);
  const over = procedure.phase === 'solved' || procedure.phase === 'ended';
  return (
    <div class="stage stage-calibration">
      <h2 class="unseen">{texts.calibration.title(board.name)}</h2>
      <Band
        deed={deed}
        words={procedure.worst_pose != null && !over ? texts.calibration.takeItBack : texts.calibration.phase[procedure.phase]}
        word={{ 'data-testid': 'calibration-phase', 'data-phase': procedure.phase, 'data-run': procedure.run }}
        hold={deed === 'hold' ? procedure : null}
        holdWords={texts.calibration.held}
        holdTestid="calibration-hold"
      />
      <p class="say" aria-live="polite" data-testid="calibration-say">
        {procedure.result?.say ?? procedure.say} <small>{board.name}</small>
      </p>
      {procedure.result != null ? <Result procedure={procedure} result={procedure.result} /> : !over && <Lay procedure={procedure} />}
      {procedure.trouble && <Trouble trouble={procedure.trouble} brief={!over} />}
      <footer class="stage-foot">
        {over || procedure.worst_pose != null ? <p>{texts.calibration.title(board.name)}</p> : <Progress procedure={procedure} />}
        <div class="stage-buttons">
          <Buttons on={on} />
        </div>
      </footer>
    </div>
  );
}
