// First: the boards are found. Serial ones show by themselves; the others are looked for or written down.
import { useState } from 'preact/hooks';
import type { BoardView, StateView } from '../../contract/types';
import { asking } from '../../state';
import { plain, rate } from '../../state/shown';
import { placeable } from '../../state/first-run';
import { place } from '../../state/placing';
import { readySound } from '../../state/voice';
import { texts } from '../../texts';
import { Shape } from '../shapes';
import { Trouble } from '../trouble';
import { Band } from './band';

function Found({ board }: { board: BoardView }) {
  const words = texts.firstRun.find;
  return (
    <li class={`board board-${board.state}`} data-testid={`found-${board.id}`} data-state={board.state}>
      <h3>
        {board.name}
        {board.mount != null && <span class="board-name">{texts.mounts[board.mount]}</span>}
      </h3>
      <p class="board-state">
        <Shape name={board.state} />
        <b>{texts.boards.state[board.state]}</b>
        <span>{board.state === 'live' && board.rate_hz != null ? texts.boards.rate(rate(board.rate_hz)) : texts.boards.noRate}</span>
        {board.format != null && <span>{board.format}</span>}
        {board.configured && <span>{words.configured}</span>}
      </p>
      {board.trouble && <Trouble trouble={board.trouble} brief={false} />}
      {!board.configured && (board.mount != null || board.taken_in) && (
        <p class="first-small">
          {board.mount != null && (
            <button type="button" disabled={asking.value} onClick={() => void place.takeOff(board)}>
              {words.takeOff}
            </button>
          )}
          {board.taken_in && (
            <button type="button" disabled={asking.value} onClick={() => void place.letGo(board.id)}>
              {words.letGo}
            </button>
          )}
        </p>
      )}
    </li>
  );
}

function OnBluetooth({ state }: { state: StateView }) {
  const words = texts.firstRun.find;
  const { looking, seen, trouble } = state.setup.bluetooth;
  return (
    <section class="first-way">
      <button type="button" disabled={asking.value || looking} onClick={() => void place.look()} data-testid="look-bluetooth">
        {looking ? words.looking : words.bluetooth}
      </button>
      {trouble && <Trouble trouble={trouble} brief={false} />}
      <ul>
        {seen.map((one) => (
          <li key={one.port}>
            <span>
              <b>{one.name ?? one.port}</b> {one.likely && words.likely} {one.signal_dbm != null && words.signal(plain(one.signal_dbm, 0))}
            </span>
            <button type="button" disabled={asking.value || one.here} onClick={() => void place.takeIn(one.port, one.name ?? null)}>
              {one.here ? words.here : words.take}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

function OnNetwork() {
  const words = texts.firstRun.find;
  const [typed, type] = useState('');
  const take = async (event: Event) => {
    event.preventDefault();
    if (await place.takeIn(typed)) type('');
  };
  return (
    <form class="first-way" onSubmit={(event) => void take(event)}>
      <label>
        {words.network}
        <input
          type="text"
          value={typed}
          autocomplete="off"
          autocapitalize="off"
          spellcheck={false}
          onInput={(event) => type(event.currentTarget.value)}
          data-testid="network-port"
        />
      </label>
      <p class="hint">{words.networkHow}</p>
      <button type="submit" disabled={asking.value || typed.trim() === ''} data-testid="network-take">
        {words.take}
      </button>
    </form>
  );
}

export function Find({ state }: { state: StateView }) {
  const words = texts.firstRun.find;
  const ready = placeable(state).length;
  const practice = state.setup.practice;
  const tap = () => {
    readySound();
    void place.startNaming();
  };
  return (
    <>
      <Band deed={ready > 0 ? 'done' : 'idle'} word={ready > 0 ? words.ready(ready) : words.deed} say={ready > 0 ? words.readySay : words.say} testid="first-ready" />
      <div class="first-body">
        {ready > 0 && (
          <button type="button" class="deed-button deed-button-large first-next" disabled={asking.value} onClick={tap} data-testid="first-tap">
            {words.tap}
          </button>
        )}
        {state.setup.trouble && <Trouble trouble={state.setup.trouble} brief={false} />}
        {state.boards.length === 0 ? (
          <p class="hint">{words.none}</p>
        ) : (
          <ul class="boards first-boards">
            {state.boards.map((board) => (
              <Found key={board.id} board={board} />
            ))}
          </ul>
        )}
        <div class="first-ways">
          <OnBluetooth state={state} />
          <OnNetwork />
          {practice === 'off' && (
            <section class="first-way">
              <button type="button" disabled={asking.value} onClick={() => void place.practise()} data-testid="practise">
                {words.practise}
              </button>
              <p class="hint">{words.practiseWhy}</p>
            </section>
          )}
        </div>
      </div>
    </>
  );
}
