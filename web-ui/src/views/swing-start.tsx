// Before a swing: what to see to, where the steer angles come from, and the start.
import type { StateView, SteerSource } from '../contract/types';
import { asking, requestStart, steerSource } from '../state';
import { readySound } from '../state/voice';
import { texts } from '../texts';
import { PrimaryButton } from './primary-button';
import { ToeForm } from './toe-form';
import { Trouble } from './trouble';

const SOURCES: readonly SteerSource[] = ['gyro', 'plates'];

function canStart(state: Pick<StateView, 'swing' | 'boards' | 'levelling'>): boolean {
  return state.boards.some((board) => board.state === 'live' && board.mount?.startsWith('front_'));
}

function start(): void {
  readySound();
  void requestStart();
}

export function SwingAgain({ state }: { state: Pick<StateView, 'swing' | 'boards' | 'levelling'> }) {
  return (
    <button type="button" class="deed-button" data-testid="swing-start" disabled={asking.value || !canStart(state)} onClick={start}>
      {state.swing.run > 0 ? texts.swing.again : texts.swing.start}
    </button>
  );
}

function Source({ source }: { source: SteerSource }) {
  const [name, plain] = texts.swing.source[source];
  return (
    <label class="choice">
      <input
        type="radio"
        name="steer-source"
        value={source}
        checked={steerSource.value === source}
        onChange={() => (steerSource.value = source)}
        data-testid={`swing-source-${source}`}
      />
      <span>
        <b>{name}</b>
        {plain}
      </span>
    </label>
  );
}

export function SwingStartForm({ state }: { state: Pick<StateView, 'swing' | 'boards' | 'levelling'> }) {
  const { swing } = state;
  return (
    <div class="swing-start">
      {swing.trouble && <Trouble trouble={swing.trouble} />}
      {swing.notes.map((note) => (
        <p class="note" key={note} data-testid="swing-note">{note}</p>
      ))}
      <p class="about">{texts.swing.about}</p>
      <div class="swing-columns">
        <div>
          <h3>{texts.swing.beforeTitle}</h3>
          <ol class="cautions">
            {texts.swing.cautions.map(([what, how]) => (
              <li key={what}>
                <b>{what}.</b> {how}
              </li>
            ))}
          </ol>
        </div>
        <div class="swing-choose">
          <fieldset>
            <legend>{texts.swing.sourceTitle}</legend>
            {SOURCES.map((source) => (
              <Source key={source} source={source} />
            ))}
          </fieldset>
          <PrimaryButton
            of={`swing/${swing.run}`}
            class="deed-button deed-button-large"
            data-testid="swing-start"
            disabled={asking.value || !canStart(state)}
            onClick={start}
          >
            {asking.value ? texts.swing.waiting : swing.run > 0 ? texts.swing.again : texts.swing.start}
          </PrimaryButton>
          {!canStart(state) && <p class="hint">{texts.swing.noBoards}</p>}
          <ToeForm state={state} />
        </div>
      </div>
    </div>
  );
}
