// The state of the car, entered at the point of the preparation that it belongs to.
import { signal } from '@preact/signals';
import type { Point, VisitView } from '../../contract/types';
import { conditionsOf, conditionText, type ConditionsDraft, type FigureGroup } from '../../state/conditions';
import { CORNERS } from '../../state/entered';
import { locale } from '../../state/language';
import { short } from '../../state/shown';
import { busy, note } from '../../state/visit';
import { texts } from '../../texts';
import { Field, WideField } from '../field';

const draft = signal<ConditionsDraft>({});
const type = (field: string) => (text: string) => (draft.value = { ...draft.value, [field]: text });

const GROUP: Partial<Record<Point, FigureGroup>> = { tyres: 'tyre_kpa', tread: 'tread_mm', ride_heights: 'ride_height_mm' };

/** Has this point figures of its own? */
export const hasFigures = (point: Point): boolean => point in GROUP || point === 'load';

function wanted(visit: VisitView, group: FigureGroup, corner: (typeof CORNERS)[number]): string | undefined {
  if (group === 'tread_mm') return undefined;
  const value = visit.car.holds?.[group]?.[corner];
  return value == null ? texts.prepare.noWanted : texts.prepare.wanted(short(value), texts.prepare.groups[group][1]);
}

export function ConditionsForm({ visit, point }: { visit: VisitView; point: Point }) {
  const kept = visit.conditions;
  const read = conditionsOf(draft.value, kept);
  const group = GROUP[point];
  const [name, unit] = group ? texts.prepare.groups[group] : ['', ''];
  const wrong = (field: string) => read.wrong.some((one) => one === field);
  return (
    <form
      class="conditions"
      data-testid={`conditions-${point}`}
      onSubmit={(event) => {
        event.preventDefault();
        if (read.conditions) void note.conditions(read.conditions).then((ok) => ok && (draft.value = {}));
      }}
    >
      {group === 'ride_height_mm' && visit.car.holds?.ride_height_from && <p class="hint">{texts.prepare.from(visit.car.holds.ride_height_from)}</p>}
      <div class="measures">
        {group &&
          CORNERS.map((corner) => {
            const field = `${group}.${corner}`;
            return (
              <Field
                key={field}
                name={`${name} ${texts.mounts[corner]}`}
                unit={unit}
                typed={conditionText(draft.value, kept, field, locale.value)}
                onType={type(field)}
                wrong={wrong(field)}
                testid={`condition-${field}`}
                hint={wrong(field) ? texts.prepare.wrong : wanted(visit, group, corner)}
              />
            );
          })}
        {point === 'load' && (
          <Field name={texts.prepare.place} unit="°C" typed={conditionText(draft.value, kept, 'place_c', locale.value)} onType={type('place_c')} wrong={wrong('place_c')} testid="condition-place_c" />
        )}
      </div>
      {point === 'load' && (
        <WideField name={texts.prepare.load} typed={conditionText(draft.value, kept, 'load', locale.value)} onType={type('load')} testid="condition-load" empty={visit.car.holds?.load ?? ''} />
      )}
      <button type="submit" class="quiet" disabled={busy.value || read.conditions === null || Object.keys(draft.value).length === 0} data-testid={`conditions-keep-${point}`}>
        {texts.prepare.keep}
      </button>
    </form>
  );
}
