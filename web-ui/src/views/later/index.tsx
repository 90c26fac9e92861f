// Views that come after the first figures: fetched once those are painted, and at once where one is on the screen before.
import { effect, signal } from '@preact/signals';
import { h, type ComponentProps, type ComponentType } from 'preact';
import { settled } from '../../state/settled';
import { texts } from '../../texts';

type Rest = typeof import('./rest');

const rest = signal<Rest | null>(null);
/** A line that breaks off leaves nothing half: it is asked for again after this long. */
const AGAIN_MS = 1000;
let asked = false;

function fetchRest(): void {
  if (asked) return;
  asked = true;
  import('./rest').then(
    (fetched) => (rest.value = fetched),
    () => {
      asked = false;
      setTimeout(fetchRest, AGAIN_MS);
    },
  );
}

/** Called once. */
export function fetchRestAfterFirst(): void {
  effect(() => {
    if (settled.value) fetchRest();
  });
}

/** A view of the rest; a word in its place as long as it is on its way. */
export function Later<Name extends keyof Rest>({ view, of }: { view: Name; of: ComponentProps<Rest[Name]> }) {
  const fetched = rest.value;
  if (fetched === null) {
    fetchRest();
    return <p class="hint">{texts.traces.loading}</p>;
  }
  return h(fetched[view] as ComponentType<object>, of as object);
}
