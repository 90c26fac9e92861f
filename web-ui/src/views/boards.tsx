// The boards strip: every board with its state by word and shape, and what to do when one is in trouble.
import type { BoardView } from '../contract/types';
import { isOld } from '../state';
import { count, plain, rate } from '../state/shown';
import { texts } from '../texts';
import { CalibrationMark } from './calibration-mark';
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

export function place(board: BoardView): string {
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
        {guess !== null && (brief || !board.configured) && <span class="guess-mark">{texts.boards.guessShort}</span>}
      </p>
      {guess !== null && !brief && board.configured && <p class="guess">{texts.boards.guess(guess)}</p>}
      {board.trouble && <Trouble trouble={board.trouble} brief={brief} />}
    </li>
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
