// Third: which printed arrow points away from the car. Which one is up, gravity says.
import { useState } from 'preact/hooks';
import type { AxisName, BoardView, StateView } from '../../contract/types';
import { asking } from '../../state';
import { faceless, outboardChoices, proposed, upChoices } from '../../state/first-run';
import { place } from '../../state/placing';
import { texts } from '../../texts';
import { ArrowPicture } from './arrow-picture';
import { Band } from './band';

function Outboard({ state, board, choose }: { state: StateView; board: BoardView; choose: (axis: AxisName) => void }) {
  const words = texts.firstRun.face;
  const up = board.up_now ?? null;
  const usual = proposed(state, board);
  const right = board.mount === 'front_right' || board.mount === 'rear_right';
  return (
    <ul class="first-axes">
      {outboardChoices(up).map((axis) => (
        <li key={axis}>
          <button type="button" class={axis === usual ? 'first-axis first-usual' : 'first-axis'} disabled={asking.value} onClick={() => choose(axis)} data-testid={`outboard-${axis}`}>
            <ArrowPicture axis={axis} right={right} />
            <b>{words.axis[axis]}</b>
            {axis === usual && <span>{words.proposed}</span>}
          </button>
        </li>
      ))}
    </ul>
  );
}

/** Where the board does not rest, it is asked as well which arrow is up. */
function Up({ outboard, choose }: { outboard: AxisName; choose: (axis: AxisName) => void }) {
  const words = texts.firstRun.face;
  return (
    <>
      <p class="first-ask">{words.up}</p>
      <ul class="first-axes">
        {upChoices(outboard).map((axis) => (
          <li key={axis}>
            <button type="button" class="first-axis" disabled={asking.value} onClick={() => choose(axis)} data-testid={`up-${axis}`}>
              <b>{words.upOf[axis]}</b>
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}

export function Face({ state, again }: { state: StateView; again: string | null }) {
  const words = texts.firstRun.face;
  const board = faceless(state, again);
  const [chosen, choose] = useState<{ board: string; outboard: AxisName } | null>(null);
  if (board === null || board.mount == null) return null;
  const up = board.up_now ?? null;
  const outboard = chosen !== null && chosen.board === board.id ? chosen.outboard : null;
  const say = (axis: AxisName) => {
    if (up !== null) void place.face(board, axis, null);
    else choose({ board: board.id, outboard: axis });
  };
  return (
    <>
      <Band deed="read" word={texts.mounts[board.mount]} say={words.say} testid="face-ask" />
      <div class="first-body" data-testid="face-board" data-board={board.id} data-mount={board.mount}>
        <p class="first-felt">
          <b>{board.name}</b> {up === null ? words.moving : words.felt(words.upOf[up])}
        </p>
        {outboard === null || up !== null ? (
          <Outboard state={state} board={board} choose={say} />
        ) : (
          <Up outboard={outboard} choose={(axis) => void place.face(board, outboard, axis)} />
        )}
      </div>
    </>
  );
}
