// Strips of every angle of every board, as it comes. Loaded only when somebody opens the line.
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { MountView } from '../../contract/types';
import { extent_deg, piecesOf, type Ring, type Which } from '../../picture/ring';
import { isOld, now_ms } from '../../state';
import { inOrder } from '../../state/findings';
import { angle, count, expandedAngle } from '../../state/shown';
import { following, lostReadings, traced, traceNow_us, watchTraces, WINDOW_US, type Traced } from '../../state/traces';
import { texts } from '../../texts';
import { Frames } from './frames';

const what = (mount: MountView, which: Which): string => {
  if (mount === 'body') return which === 'lean' ? texts.traces.roll : texts.traces.pitch;
  return which === 'lean' ? texts.traces.camber : texts.traces.hubPitch;
};

/** What a strip shows now, in words and numbers. */
function inWords(ring: Ring, which: Which, to_us: number): { now: string; more: string[]; gaps: number } {
  const last = ring.length - 1;
  const value = last < 0 ? Number.NaN : ring.value_deg(which, last);
  const why = last < 0 ? null : ring.gap(last);
  const now = why !== null ? texts.traces.gap[why] : Number.isNaN(value) ? texts.traces.waiting : texts.traces.value(angle(value), expandedAngle(ring.half_deg(which, last)));
  const shown = extent_deg(ring, which, to_us - WINDOW_US, to_us);
  const gaps = piecesOf(ring, to_us - WINDOW_US, to_us).filter(({ kind }) => kind === 'gap').length;
  const more = [...(shown ? [texts.traces.between(angle(shown.least), angle(shown.most))] : []), ...(gaps > 0 ? [texts.traces.gaps(gaps)] : [])];
  return { now, more, gaps };
}

function Strip({ board, which, frames }: { board: Traced; which: Which; frames: Frames }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const { mount, ring } = board;
  const name = what(mount, which);
  useEffect(() => (canvas.current ? frames.hang(canvas.current, ring, which, name) : undefined), [frames, ring, which, name]);
  const to_us = traceNow_us(now_ms.value) ?? 0;
  const { now, more, gaps } = inWords(ring, which, to_us);
  const title = texts.traces.strip(texts.mounts[mount], name);
  return (
    <figure class="strip-trace" data-testid={`trace-${mount}-${which}`} data-length={ring.length} data-gaps={gaps}>
      <figcaption>
        <b>{title}</b> <span class="strip-now">{now}</span>
      </figcaption>
      <canvas ref={canvas} role="img" aria-label={[title, now, ...more].join('; ')} />
    </figure>
  );
}

export function TracesOpen() {
  const frames = useMemo(() => new Frames(), []);
  const [held, setHeld] = useState(false);
  useEffect(() => watchTraces(), []);
  const boards = inOrder(traced.value);
  return (
    <div class={`traces${isOld.value ? ' traces-old' : ''}`} data-testid="traces" data-following={following.value} data-drawings={now_ms.value > 0 ? frames.drawings : 0}>
      <div class="traces-head">
        <p class="hint">
          {texts.traces.about}
          {boards.some(({ mount }) => mount === 'body') && ` ${texts.traces.bodyZero}`}
        </p>
        <button
          type="button"
          class="quiet"
          aria-pressed={held}
          data-testid="traces-hold"
          onClick={() => {
            frames.hold(!held);
            setHeld(!held);
          }}
        >
          {held ? texts.traces.goOn : texts.traces.hold}
        </button>
      </div>
      {isOld.value && <p class="note">{texts.traces.lostConnection}</p>}
      {lostReadings.value > 0 && <p class="note">{texts.traces.lost(count(lostReadings.value))}</p>}
      {boards.length === 0 && <p class="hint">{texts.traces.none}</p>}
      <div class="strips">
        {boards.flatMap((board) => (['lean', 'pitch'] as const).map((which) => <Strip key={`${board.id} ${which}`} board={board} which={which} frames={frames} />))}
      </div>
    </div>
  );
}
