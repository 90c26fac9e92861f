// Measured toe of the front wheels: it turns caster and SAI.
import { signal } from '@preact/signals';
import { readAngle } from '../format/angles';
import type { StateView, ToeView } from '../contract/types';
import { asking, requestToe } from '../state';
import { angle, expandedAngle, short } from '../state/shown';
import { texts } from '../texts';

/** Toe by string and tape, from experience. */
const USUAL_STANDARD_DEG = 0.05;

type Draft = { toe: string; standard: string };
const drafts = signal<Record<string, Draft>>({});

function Row({ toe }: { toe: ToeView }) {
  const draft = drafts.value[toe.mount] ?? { toe: '', standard: short(USUAL_STANDARD_DEG) };
  const put = (more: Partial<Draft>) => (drafts.value = { ...drafts.value, [toe.mount]: { ...draft, ...more } });
  const toe_deg = readAngle(draft.toe);
  const standard_deg = readAngle(draft.standard);
  const ready = toe_deg !== null && standard_deg !== null;
  return (
    <form
      class="toe"
      data-testid={`toe-${toe.mount}`}
      data-toe-deg={toe.toe_deg}
      data-entered={toe.entered}
      onSubmit={(event) => {
        event.preventDefault();
        if (ready) void requestToe({ mount: toe.mount, toe_deg, standard_deg });
      }}
    >
      <p>
        <b>{texts.mounts[toe.mount]}</b> {texts.toe.now(angle(toe.toe_deg), expandedAngle(toe.expanded_deg))}
      </p>
      <label class="measure">
        <span>{texts.toe.degrees}</span>
        <input type="text" inputMode="decimal" autoComplete="off" value={draft.toe} onInput={(event) => put({ toe: event.currentTarget.value })} data-testid={`toe-deg-${toe.mount}`} />
      </label>
      <label class="measure">
        <span>{texts.toe.standard}</span>
        <input type="text" inputMode="decimal" autoComplete="off" value={draft.standard} onInput={(event) => put({ standard: event.currentTarget.value })} data-testid={`toe-standard-${toe.mount}`} />
      </label>
      <button type="submit" class="quiet" disabled={asking.value || !ready} data-testid={`toe-take-${toe.mount}`}>
        {texts.toe.take}
      </button>
    </form>
  );
}

export function ToeForm({ state }: { state: Pick<StateView, 'levelling'> }) {
  return (
    <section class="survey">
      <h3>{texts.toe.title}</h3>
      <p class="hint">{texts.toe.about}</p>
      {state.levelling.toes.map((toe) => (
        <Row key={toe.mount} toe={toe} />
      ))}
    </section>
  );
}
