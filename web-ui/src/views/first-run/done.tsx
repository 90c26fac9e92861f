// Last: camber is live, as large as anywhere, or what is still missing for it.
import type { BoardView, StateView } from '../../contract/types';
import { asking } from '../../state';
import { isWheel, mounted, uncalibrated } from '../../state/first-run';
import { askFaceAgain, calibrateNow, closeFirstRun, findAgain } from '../../state/placing';
import { texts } from '../../texts';
import { CamberOpen } from '../camber';
import { Band } from './band';

function Sits({ board }: { board: BoardView }) {
  const words = texts.firstRun.done;
  if (board.mount == null) return null;
  const axis = board.sits?.outboard;
  return (
    <li>
      <b>{texts.mounts[board.mount]}</b> {board.name}
      {axis != null && <span>{words.sits(texts.firstRun.face.axis[axis])}</span>}
      {axis != null && board.sits?.up == null && <span class="first-unclear">{words.askew}</span>}
      {isWheel(board.mount) && !board.configured && (
        <button type="button" class="quiet" disabled={asking.value} onClick={() => askFaceAgain(board.id)} data-testid={`again-${board.mount}`}>
          {words.again}
        </button>
      )}
    </li>
  );
}

export function Done({ state }: { state: StateView }) {
  const words = texts.firstRun.done;
  const live = state.wheels.some(({ camber }) => camber.status === 'known');
  const raw = uncalibrated(state).length > 0;
  const askew = mounted(state).some((board) => board.sits != null && board.sits.up == null);
  return (
    <>
      <Band deed={live ? 'done' : 'idle'} word={live ? words.deed : words.wait} say={askew ? words.saySeat : raw ? words.sayRaw : words.say} testid="first-done" />
      <div class="first-body">
        <CamberOpen wheels={state.wheels} />
        <ul class="first-named">
          {mounted(state).map((board) => (
            <Sits key={board.id} board={board} />
          ))}
        </ul>
        <div class="first-buttons">
          {raw && (
            <button type="button" onClick={calibrateNow}>
              {texts.firstRun.calibrate.deed}
            </button>
          )}
          <button type="button" onClick={findAgain}>
            {texts.firstRun.place}
          </button>
          <button type="button" class="deed-button deed-button-large" onClick={closeFirstRun} data-testid="first-measure">
            {words.end}
          </button>
        </div>
      </div>
    </>
  );
}
