// The calibration of a board, and where one is started.
import type { BoardView } from '../contract/types';
import { asking } from '../state';
import { wish } from '../state/calibrating';
import { plain } from '../state/shown';
import { readySound } from '../state/voice';
import { texts } from '../texts';
import { SHAPES } from './calibration-mark';
import { PrimaryButton } from './primary-button';
import { Shape } from './shapes';
import { Trouble } from './trouble';

/** The calibration of one board in full, and the buttons that start another. */
export function CalibrationFacts({ board }: { board: BoardView }) {
  const { calibration } = board;
  const { settled } = calibration;
  const start = (kind: 'poses' | 'reversal') => {
    readySound();
    void wish.start(board.id, kind);
  };
  const idle = asking.value || board.state !== 'live';
  return (
    <section class="calibration-facts" data-testid={`calibration-facts-${board.mount ?? board.id}`}>
      <p>
        <span class={`calibration-mark calibration-${calibration.state}`}>
          <Shape name={SHAPES[calibration.state]} />
        </span>
        {calibration.say}
      </p>
      <dl>
        <div>
          <dt>{texts.calibration.offsetName}</dt>
          <dd>{texts.calibration.plusMinusMg(plain(calibration.offset_standard_mg, 1))}</dd>
        </div>
        {settled && (
          <div>
            <dt>{texts.calibration.settledName}</dt>
            <dd>{texts.calibration.settled(texts.calibration.face[settled.axis].slice(0, 1), plain(settled.offset_standard_mg, 1))}</dd>
          </div>
        )}
      </dl>
      {calibration.trouble && <Trouble trouble={calibration.trouble} />}
      {calibration.source !== 'configured' && (
        <div class="calibration-start">
          <ol class="cautions" aria-label={texts.calibration.cautionsTitle}>
            {texts.calibration.cautions.map(([what, how]) => (
              <li key={what}>
                <b>{what}.</b> {how}
              </li>
            ))}
          </ol>
          <div class="calibration-buttons">
            <PrimaryButton
              of={`calibrate/${board.id}`}
              keyed={calibration.state !== 'valid'}
              class="deed-button"
              data-testid={`calibrate-${board.mount ?? board.id}`}
              disabled={idle}
              onClick={() => start('poses')}
            >
              {calibration.source === 'stored' ? texts.calibration.again : texts.calibration.start}
            </PrimaryButton>
            {calibration.source === 'stored' && (
              <button type="button" data-testid={`reverse-${board.mount ?? board.id}`} disabled={idle} onClick={() => start('reversal')}>
                {texts.calibration.reversal}
              </button>
            )}
          </div>
        </div>
      )}
    </section>
  );
}
