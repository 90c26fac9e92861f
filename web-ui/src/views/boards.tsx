// The boards strip: every board with its state by word and shape, and what to do when one is in trouble.
import type { BoardView } from '../contract/types';
import { isOld } from '../state';
import { count, plain, rate, signedNumber } from '../state/shown';
import { texts } from '../texts';
import { badReason } from '../texts/phrases';
import { CalibrationFacts, CalibrationMark } from './calibration';
import { Shape } from './shapes';
import { Trouble } from './trouble';

function badCount(board: BoardView): number {
  return board.bad_frames.reduce((sum, bad) => sum + bad.count, 0);
}

/** What listening found out and the configuration does not say; none when nothing is a guess. */
function guessed(board: BoardView): string | null {
  const format = board.format_is_guess && board.format != null ? board.format : null;
  const baud = board.baud_is_guess && board.baud != null ? String(board.baud) : null;
  if (format !== null && baud !== null) return texts.boards.at(format, baud);
  return format ?? baud;
}

function place(board: BoardView): string {
  return board.mount == null ? texts.boards.noMount : texts.mounts[board.mount];
}

export function Board({ board, brief }: { board: BoardView; brief: boolean }) {
  const guess = guessed(board);
  const bad = badCount(board);
  return (
    <li class={`board board-${board.state}`} data-testid={`board-${board.mount ?? board.id}`} data-state={board.state}>
      <h3>
        {place(board)}
        {board.name !== place(board) && <span class="board-name">{board.name}</span>}
      </h3>
      <p class="board-state">
        <Shape name={isOld.value ? 'broken' : board.state} />
        <b>{isOld.value ? texts.boards.was(texts.boards.state[board.state]) : texts.boards.state[board.state]}</b>
        <span>{board.state === 'live' && board.rate_hz != null ? texts.boards.rate(rate(board.rate_hz)) : texts.boards.noRate}</span>
        {bad > 0 && <span class="board-bad">{texts.boards.bad(count(bad))}</span>}
        {board.about.battery_percent != null && <span>{texts.boards.battery(plain(board.about.battery_percent, 0))}</span>}
        {board.about.signal_dbm != null && <span>{texts.boards.signal(plain(board.about.signal_dbm, 0))}</span>}
        {board.time_by === 'arrival' && !brief && <span class="board-arrival">{texts.boards.byArrival}</span>}
        {!brief && <CalibrationMark board={board} />}
        {guess !== null && brief && <span class="guess-mark">{texts.boards.guessShort}</span>}
      </p>
      {guess !== null && !brief && <p class="guess">{texts.boards.guess(guess)}</p>}
      {board.trouble && <Trouble trouble={board.trouble} brief={brief} />}
    </li>
  );
}

function Fact({ name, children }: { name: string; children: preact.ComponentChildren }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}

export function BoardFacts({ board }: { board: BoardView }) {
  const speaks = [board.format, board.baud].filter((part) => part != null).join(', ');
  return (
    <section class="board-facts" data-testid={`board-facts-${board.mount ?? board.id}`}>
      <h3>
        {place(board)} <span class="board-name">{board.name}</span>
      </h3>
      <dl>
        <Fact name={texts.boards.port}>{board.port}</Fact>
        <Fact name={texts.boards.speaks}>{speaks === '' ? texts.boards.unknown : speaks}</Fact>
        <Fact name={texts.boards.goodFrames}>{count(board.good_frames)}</Fact>
        <Fact name={texts.boards.badFrames}>
          {board.bad_frames.length === 0
            ? texts.boards.noBad
            : board.bad_frames.map((bad) => <span key={bad.reason}>{`${badReason(bad.reason)} ${count(bad.count)}`}</span>)}
        </Fact>
        <Fact name={texts.boards.dropped}>{count(board.dropped)}</Fact>
        {board.temperature_c != null && <Fact name={texts.boards.temperature}>{texts.boards.celsius(plain(board.temperature_c, 1))}</Fact>}
        {board.clock_ppm != null && <Fact name={texts.boards.clock}>{texts.boards.ppm(signedNumber(board.clock_ppm, 1))}</Fact>}
        {board.time_by != null && <Fact name={texts.boards.timeBy}>{texts.boards.time[board.time_by]}</Fact>}
        {board.about.maker != null && <Fact name={texts.boards.madeBy}>{board.about.maker}</Fact>}
        {board.about.model != null && <Fact name={texts.boards.model}>{board.about.model}</Fact>}
        {board.about.serial != null && <Fact name={texts.boards.serial}>{board.about.serial}</Fact>}
        {board.about.firmware != null && <Fact name={texts.boards.firmware}>{board.about.firmware}</Fact>}
      </dl>
      <CalibrationFacts board={board} />
    </section>
  );
}

/** The row of boards; `brief` is the form that stays in sight during a swing. */
export function BoardsStrip({ boards, brief }: { boards: readonly BoardView[]; brief: boolean }) {
  if (boards.length === 0) return <p class="hint">{texts.boards.none}</p>;
  return (
    <ul class={brief ? 'boards boards-brief' : 'boards'}>
      {boards.map((board) => (
        <Board key={board.id} board={board} brief={brief} />
      ))}
    </ul>
  );
}
