// Fourth: boards out of the bag are calibrated, or that is left for later.
import type { StateView } from '../../contract/types';
import { asking } from '../../state';
import { wish } from '../../state/calibrating';
import { uncalibrated } from '../../state/first-run';
import { calibrateLater } from '../../state/placing';
import { readySound } from '../../state/voice';
import { texts } from '../../texts';
import { Band } from './band';

export function Calibrate({ state }: { state: StateView }) {
  const words = texts.firstRun.calibrate;
  const start = (board: string) => {
    readySound();
    void wish.start(board, 'poses');
  };
  return (
    <>
      <Band deed="idle" word={words.deed} say={words.say} />
      <div class="first-body">
        <ol class="cautions" aria-label={texts.calibration.cautionsTitle}>
          {texts.calibration.cautions.map(([what, how]) => (
            <li key={what}>
              <b>{what}.</b> {how}
            </li>
          ))}
        </ol>
        <div class="first-buttons">
          {uncalibrated(state).map((board) => (
            <button type="button" class="deed-button" key={board.id} disabled={asking.value} onClick={() => start(board.id)}>
              {words.start(board.mount == null ? board.name : texts.mounts[board.mount])}
            </button>
          ))}
          <button type="button" class="deed-button deed-button-large" onClick={calibrateLater} data-testid="calibrate-later">
            {words.later}
          </button>
        </div>
      </div>
    </>
  );
}
