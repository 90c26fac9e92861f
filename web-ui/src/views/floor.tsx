// The floor under the four wheels: what is known of its slope, and two ways to survey it.
import { signal } from '@preact/signals';
import type { AxisName, FloorHeights, LineName, StateView } from '../contract/types';
import { asking, requestFloorForget, requestHeights, requestLine } from '../state';
import { HEIGHTS, heightsOf, LENGTHS, nextLine, type HeightDraft, type HeightField } from '../state/levelling';
import { angle, expandedAngle, plain } from '../state/shown';
import { texts } from '../texts';
import { Figure } from './figure';
import { PrimaryButton } from './primary-button';
import { AXES } from './run-out';

const typed = signal<HeightDraft>({ standard_mm: '1' });
const reads = signal<NonNullable<FloorHeights['reads']>>('water_above_pad');
const board = signal<string | null>(null);
const axis = signal<AxisName>('+x');

/** Nobody turns a straight-edge end for end in less; a second take that comes sooner is a key struck twice. */
const TURNING_MS = 3000;

const LINES: readonly LineName[] = ['front', 'rear', 'left', 'right'];
const READS = ['water_above_pad', 'pad_height'] as const;

function Field({ field }: { field: HeightField }) {
  return (
    <label class="measure">
      <span>{texts.floor.heights[field]}</span>
      <input
        type="text"
        inputMode="decimal"
        autoComplete="off"
        data-testid={`floor-${field}`}
        value={typed.value[field] ?? ''}
        onInput={(event) => (typed.value = { ...typed.value, [field]: event.currentTarget.value })}
      />
      <span>{texts.floor.mm}</span>
    </label>
  );
}

function Heights() {
  const heights = heightsOf(typed.value, reads.value);
  return (
    <form
      class="survey"
      onSubmit={(event) => {
        event.preventDefault();
        if (heights) void requestHeights(heights);
      }}
    >
      <h3>{texts.floor.heightsTitle}</h3>
      <div class="measures">
        {HEIGHTS.map((field) => (
          <Field key={field} field={field} />
        ))}
      </div>
      <fieldset>
        {READS.map((read) => (
          <label class="choice" key={read}>
            <input type="radio" name="floor-reads" checked={reads.value === read} onChange={() => (reads.value = read)} data-testid={`floor-reads-${read}`} />
            <span>{texts.floor.reads[read]}</span>
          </label>
        ))}
      </fieldset>
      <div class="measures">
        {LENGTHS.map((field) => (
          <Field key={field} field={field} />
        ))}
      </div>
      <button type="submit" class="deed-button" data-testid="floor-heights" disabled={asking.value || heights === null}>
        {texts.floor.take}
      </button>
    </form>
  );
}

function Lines({ state }: { state: Pick<StateView, 'levelling' | 'boards'> }) {
  const { floor } = state.levelling;
  const live = state.boards.filter((one) => one.state === 'live');
  const chosen = live.find(({ id }) => id === board.value) ?? live[0];
  return (
    <div class="survey">
      <h3>{texts.floor.linesTitle}</h3>
      <p class="about">{texts.floor.linesAbout}</p>
      <label class="measure">
        <span>{texts.floor.board}</span>
        <select data-testid="floor-board" value={chosen?.id} onChange={(event) => (board.value = event.currentTarget.value)}>
          {live.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <p>{texts.floor.axis}</p>
      <div class="axes" role="group" aria-label={texts.floor.axis}>
        {AXES.map((one) => (
          <button key={one} type="button" class="side" aria-pressed={axis.value === one} onClick={() => (axis.value = one)} data-testid={`floor-axis-${one}`}>
            {one}
          </button>
        ))}
      </div>
      <ul class="lines">
        {LINES.map((line) => {
          const found = floor.lines.find((one) => one.line === line);
          const turned = floor.half === line;
          return (
            <li key={line} data-testid={`floor-line-${line}`} data-slope-deg={found?.slope_deg} data-expanded-deg={found?.expanded_deg} data-half={turned}>
              <span>{found ? texts.floor.lineSlope(texts.floor.lines[line], angle(found.slope_deg), expandedAngle(found.expanded_deg)) : texts.floor.lines[line]}</span>
              <PrimaryButton
                of={`floor/${line}/${turned}`}
                keyed={line === nextLine(floor)}
                settle_ms={turned ? TURNING_MS : undefined}
                class={turned ? 'deed-button' : 'quiet'}
                disabled={asking.value || !chosen}
                data-testid={`floor-take-${line}`}
                onClick={() => chosen && void requestLine({ line, board: chosen.id, along: axis.value, turned })}
              >
                {turned ? texts.floor.second : texts.floor.first}
              </PrimaryButton>
            </li>
          );
        })}
      </ul>
    </div>
  );
}

interface SlopeProps {
  name: string;
  value_deg: number;
  expanded_deg: number;
  sense: string;
  main?: boolean;
}

/** One slope, large; the word says which side is higher, so the figure needs no sign. */
function Slope({ name, value_deg, expanded_deg, sense, main = false }: SlopeProps) {
  return (
    <article class={main ? 'slope slope-main' : 'slope'} data-testid={main ? 'floor-across' : 'floor-along'}>
      <h3>{name}</h3>
      <p class="slope-figure">
        <Figure value_deg={value_deg} decimals={2} sign="none" />
      </p>
      <p>
        <b class="sense">{sense}</b> <span class="interval">{texts.findings.interval(expandedAngle(expanded_deg))}</span>
      </p>
    </article>
  );
}

export function FloorOpen({ state }: { state: Pick<StateView, 'levelling' | 'boards'> }) {
  const { floor } = state.levelling;
  const twisted = floor.twist_mm != null && Math.abs(floor.twist_mm) >= 0.05;
  return (
    <div class="swing-start">
      <div class="floor-now">
        <Slope name={texts.floor.across} value_deg={floor.roll_deg} expanded_deg={floor.roll_expanded_deg} sense={floor.roll_sense} main />
        <Slope name={texts.floor.along} value_deg={floor.pitch_deg} expanded_deg={floor.pitch_expanded_deg} sense={floor.pitch_sense} />
      </div>
      <p class="about">{texts.floor.about}</p>
      {twisted && <p class="note">{texts.floor.twist(plain(Math.abs(floor.twist_mm ?? 0), 1))}</p>}
      <div class="swing-columns">
        <Heights />
        <Lines state={state} />
      </div>
      {floor.by !== 'configuration' && (
        <button type="button" class="quiet" data-testid="floor-forget" disabled={asking.value} onClick={() => void requestFloorForget()}>
          {texts.floor.forget}
        </button>
      )}
    </div>
  );
}
