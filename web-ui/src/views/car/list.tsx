// The cars that are kept: begin a visit with one, change it, or delete it.
import type { CarView } from '../../contract/types';
import { beginEdit } from '../../state/car-editing';
import { busy, cars, panel, wish } from '../../state/visit';
import { texts } from '../../texts';
import { askAbout, NameAsk } from '../name-ask';
import { Refusal } from '../refusal';

function Car({ car }: { car: CarView }) {
  const { id, record, missing } = car;
  const about = `car-${id}`;
  return (
    <li class="card" data-testid={about} data-name={record.name}>
      <div class="card-words">
        <h4>{record.name}</h4>
        {missing.length === 0 ? (
          <p class="hint">{texts.cars.complete}</p>
        ) : (
          <details class="missing-figures">
            <summary data-testid={`${about}-missing`}>{texts.cars.lacks(missing.length)}</summary>
            <ul>
              {missing.map((what) => (
                <li key={what}>{what}</li>
              ))}
            </ul>
          </details>
        )}
        {record.source && <p class="hint">{texts.cars.from(record.source)}</p>}
      </div>
      <div class="buttons">
        <button type="button" class="deed-button" disabled={busy.value} onClick={() => void wish.begin(id)} data-testid={`${about}-begin`}>
          {texts.cars.begin}
        </button>
        <button type="button" class="quiet" onClick={() => beginEdit(id, record)} data-testid={`${about}-change`}>
          {texts.cars.change}
        </button>
        <button type="button" class="quiet" onClick={() => askAbout(about)} data-testid={`${about}-remove`}>
          {texts.cars.remove}
        </button>
      </div>
      <NameAsk
        about={about}
        name={record.name}
        say={texts.cars.removeAsk(record.name)}
        field={texts.cars.removeField}
        go={texts.cars.removeNow}
        keep={texts.cars.keepIt}
        onGo={() => wish.removeCar(id, record.name)}
      />
    </li>
  );
}

export function Cars() {
  const kept = cars.value;
  return (
    <section class="cars" data-testid="cars">
      <header class="part-head">
        <h3>{texts.cars.title}</h3>
        <div class="buttons">
          <button type="button" class="quiet" onClick={() => beginEdit(null)} data-testid="car-new">
            {texts.cars.add}
          </button>
          <button type="button" class="quiet" onClick={() => (panel.value = { kind: 'import' })} data-testid="car-import">
            {texts.cars.import}
          </button>
        </div>
      </header>
      <Refusal by="cars" />
      {kept !== null && kept.length === 0 && <p class="hint">{texts.cars.none}</p>}
      <ul class="cards">
        {(kept ?? []).map((car) => (
          <Car key={car.id} car={car} />
        ))}
      </ul>
    </section>
  );
}
