// Second: the hubs are named by tapping their boards. It goes on by itself.
import type { MountView, StateView } from '../../contract/types';
import { asking } from '../../state';
import { place } from '../../state/placing';
import { texts } from '../../texts';
import { Shape } from '../shapes';

const PLACES: Record<MountView, readonly [number, number]> = {
  front_left: [46, 44],
  front_right: [154, 44],
  rear_left: [46, 156],
  rear_right: [154, 156],
  body: [100, 100],
};

/** The car from above, its front up: a knot per mount, the bob at the one to be tapped. */
function FromAbove({ state }: { state: StateView }) {
  const { mount, named, skipped } = state.setup.naming;
  return (
    <svg class="first-car" viewBox="0 0 200 200" aria-hidden="true">
      <path d="M70 44h60M70 156h60M100 30v140M88 30l12-14 12 14" class="first-frame" />
      {(Object.keys(PLACES) as MountView[]).map((place) => {
        const [x, y] = PLACES[place];
        const is = place === mount ? 'wanted' : named.some((one) => one.mount === place) ? 'named' : skipped.includes(place) ? 'skipped' : 'open';
        return place === 'body' ? (
          <circle key={place} cx={x} cy={y} r="13" class={`first-place first-${is}`} />
        ) : (
          <rect key={place} x={x - 15} y={y - 26} width="30" height="52" rx="6" class={`first-place first-${is}`} />
        );
      })}
    </svg>
  );
}

export function Tap({ state }: { state: StateView }) {
  const words = texts.firstRun.tap;
  const { naming } = state.setup;
  const { mount, heard } = naming;
  if (mount == null) return null;
  const name = (id: string) => state.boards.find((board) => board.id === id)?.name ?? id;
  const unclear = heard != null && heard.result !== 'named';
  return (
    <>
      <div class="deed deed-move first-band first-mount">
        <Shape name="move" />
        <p class="deed-word" data-testid="naming-mount" data-mount={mount}>
          {texts.mounts[mount]}
        </p>
      </div>
      <p class="say" aria-live="polite" data-testid="naming-say">
        {naming.say}
      </p>
      <div class="first-body first-tapping">
        <FromAbove state={state} />
        <div>
          {heard != null && (
            <p class={unclear ? 'first-heard first-unclear' : 'first-heard'} role={unclear ? 'alert' : undefined} data-testid="naming-heard" data-result={heard.result} data-number={heard.number}>
              <Shape name={unclear ? 'mind' : 'done'} />
              {heard.text}
            </p>
          )}
          <ul class="first-named">
            {naming.named.map((one) => (
              <li key={one.mount} data-testid={`named-${one.mount}`} data-board={one.board}>
                <Shape name="done" />
                <b>{texts.mounts[one.mount]}</b> {name(one.board)}
              </li>
            ))}
            {naming.skipped.map((one) => (
              <li key={one}>
                <Shape name="idle" />
                <b>{texts.mounts[one]}</b> {words.none}
              </li>
            ))}
          </ul>
        </div>
        <div class="first-buttons">
          <button type="button" class="deed-button deed-button-large" disabled={asking.value} onClick={() => void place.skip()} data-testid="naming-skip">
            {words.skip}
          </button>
          <button type="button" class="cancel" disabled={asking.value} onClick={() => void place.endNaming()} data-testid="naming-end">
            {words.end}
          </button>
        </div>
      </div>
    </>
  );
}
