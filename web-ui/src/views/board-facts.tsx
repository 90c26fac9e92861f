// All that is known of every board.
import type { BoardView } from '../contract/types';
import { count, plain, signedNumber } from '../state/shown';
import { texts } from '../texts';
import { badReason } from '../texts/phrases';
import { place } from './boards';
import { CalibrationFacts } from './calibration';

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

export function BoardsFacts({ boards }: { boards: readonly BoardView[] }) {
  return (
    <>
      {boards.map((board) => (
        <BoardFacts key={board.id} board={board} />
      ))}
    </>
  );
}
