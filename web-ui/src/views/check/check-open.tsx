// Choosing a guided check, what to see to before it, and what the last one found.
import type { CheckFindingView, CheckResultView, MountView, StateView } from '../../contract/types';
import { isWrongHeight, KINDS, ofOneWheel, resultOf, sourcesOf, type CheckChoice } from '../../state/checks';
import { expandedValue, percent, value } from '../../state/shown';
import { checkChoice, wishCheck } from '../../state/checking';
import { busy } from '../../state/visit';
import { readySound } from '../../state/voice';
import { texts } from '../../texts';
import { Field, Pick } from '../field';
import { PrimaryButton } from '../primary-button';
import { Refusal } from '../refusal';
import { Trouble } from '../trouble';

const WHEELS: readonly MountView[] = ['front_left', 'front_right', 'rear_left', 'rear_right'];
const LEFTS = (['+x', '-x', '+y', '-y'] as const).map((axis) => [axis, axis.toUpperCase()] as const);
const pairs = <T extends string>(words: Record<T, string>, keys: readonly T[] = Object.keys(words) as T[]) => keys.map((key) => [key, words[key]] as const);
const put = (more: Partial<CheckChoice>) => (checkChoice.value = { ...checkChoice.value, ...more });

function Found({ finding }: { finding: CheckFindingView }) {
  return (
    <li class="check-finding" data-testid={`check-${finding.quantity}-${finding.mount ?? finding.turn ?? 'car'}`} data-value={finding.value} data-expanded={finding.expanded}>
      <h4>
        {finding.name} {finding.mount != null && texts.mounts[finding.mount]}
      </h4>
      <p class="found-figure">{value(finding.value, finding.unit)}</p>
      <p class="found-words">
        <span class="interval">{texts.findings.interval(expandedValue(finding.expanded, finding.unit))}</span> {finding.sense !== '' && <span class="sense">{finding.sense}</span>}
      </p>
      <p class="hint">
        {texts.check.mostly(finding.largest_contributor, percent(finding.largest_share))} {finding.advice}
      </p>
    </li>
  );
}

function Result({ result }: { result: CheckResultView }) {
  return (
    <section class="check-result" data-testid="check-result" data-kind={result.kind}>
      <h3>{texts.check.results}</h3>
      <p class="point-say">{result.say}</p>
      <ul class="check-findings">
        {result.findings.map((finding) => (
          <Found key={`${finding.quantity} ${finding.mount} ${finding.turn}`} finding={finding} />
        ))}
      </ul>
      {result.notes.map((note) => (
        <p class="note" key={note}>
          {note}
        </p>
      ))}
    </section>
  );
}

export function CheckLine({ state }: { state: Pick<StateView, 'check' | 'checked'> }) {
  return <span>{resultOf(state)?.say ?? texts.check.line}</span>;
}

export function CheckOpen({ state }: { state: Pick<StateView, 'check' | 'checked' | 'boards' | 'swing'> }) {
  const { kind, mount, grip, turn, by, axle, to_left, edge, ride_height } = checkChoice.value;
  const wrongHeight = isWrongHeight(checkChoice.value);
  const { trouble } = state.check;
  const result = resultOf(state);
  const sources = sourcesOf(kind);
  const needed: readonly MountView[] = ofOneWheel(kind) ? [mount] : kind === 'carried_toe' ? ['body'] : ['front_left', 'front_right'];
  const live = kind === 'camber_on_bar' || needed.some((one) => state.boards.some((board) => board.mount === one && board.state === 'live'));
  return (
    <div class="checks">
      {trouble && <Trouble trouble={trouble} />}
      {result && <Result result={result} />}
      <Pick name={texts.check.which} choices={KINDS.map((one) => [one, texts.check.kinds[one][0]] as const)} chosen={kind} onPick={(one) => put({ kind: one })} testid="check-kind" />
      <p class="about">{texts.check.kinds[kind][1]}</p>
      <div class="swing-columns">
        <div>
          <h3>{texts.check.before}</h3>
          <ol class="cautions">
            {texts.check.cautions[kind].map(([what, how]) => (
              <li key={what}>
                <b>{what}.</b> {how}
              </li>
            ))}
          </ol>
        </div>
        <div class="swing-choose">
          {ofOneWheel(kind) && <Pick name={texts.check.wheel} choices={pairs(texts.mounts, WHEELS)} chosen={mount} onPick={(one) => put({ mount: one })} testid="check-mount" />}
          {kind === 'play' && <Pick name={texts.check.grip} choices={pairs(texts.check.grips)} chosen={grip} onPick={(one) => put({ grip: one })} testid="check-grip" />}
          {kind === 'camber_on_bar' && <Pick name={texts.check.turn} choices={pairs(texts.check.turns)} chosen={turn} onPick={(one) => put({ turn: one })} testid="check-turn" />}
          {kind === 'carried_toe' && (
            <>
              <Pick name={texts.check.axle} choices={pairs(texts.check.axles)} chosen={axle} onPick={(one) => put({ axle: one })} testid="check-axle" />
              <Pick name={texts.check.toLeft} choices={LEFTS} chosen={to_left} onPick={(one) => put({ to_left: one })} testid="check-left" />
              <Pick name={texts.check.edge} choices={pairs(texts.check.edges)} chosen={edge} onPick={(one) => put({ edge: one })} testid="check-edge" />
            </>
          )}
          {sources.length > 0 && <Pick name={texts.check.by} choices={pairs(texts.check.sources, sources)} chosen={sources.includes(by) ? by : 'gyro'} onPick={(one) => put({ by: one })} testid="check-by" />}
          {kind === 'height_sweep' && (
            <Field
              name={texts.check.rideHeight}
              unit="mm"
              typed={ride_height}
              onType={(typed) => put({ ride_height: typed })}
              wrong={wrongHeight}
              empty={texts.check.rideHeightEmpty}
              testid="check-ride-height"
            />
          )}
          <Refusal by="check" />
          <PrimaryButton
            of={`check/${kind}/${state.check.run}`}
            class="deed-button deed-button-large"
            disabled={busy.value || !live || wrongHeight}
            data-testid="check-start"
            onClick={() => {
              readySound();
              void wishCheck.start();
            }}
          >
            {texts.check.start}
          </PrimaryButton>
          {!live && <p class="hint">{texts.check.noBoard}</p>}
          {kind === 'toe_out_on_turns' && state.swing.phase === 'done' && (
            <button type="button" class="quiet" disabled={busy.value} onClick={() => void wishCheck.turnsOfSwing()} data-testid="check-of-swing">
              {texts.check.ofSwing}
            </button>
          )}
        </div>
      </div>
    </div>
  );
}
