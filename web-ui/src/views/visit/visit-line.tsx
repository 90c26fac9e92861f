// The visit at hand, the cars, and the visits of before.
import { signal } from '@preact/signals';
import type { VisitLineView, VisitView } from '../../contract/types';
import { sheetOf } from '../../contract/visits';
import { notation } from '../../state/notation';
import { busy, note, visits, wish } from '../../state/visit';
import { dayAndTime } from '../../state/shown';
import { texts } from '../../texts';
import { Cars } from '../car/list';
import { WideField } from '../field';
import { askAbout, NameAsk } from '../name-ask';
import { NotationChoice } from '../notation-choice';
import { Refusal } from '../refusal';

const noteText = signal('');

function Notes({ visit }: { visit: VisitView }) {
  const typed = noteText.value;
  return (
    <form
      class="notes"
      onSubmit={(event) => {
        event.preventDefault();
        if (typed.trim() !== '') void note.text(typed.trim()).then((kept) => kept && (noteText.value = ''));
      }}
    >
      {visit.notes.length > 0 && (
        <ul data-testid="visit-notes">
          {visit.notes.map(({ number, at, text }) => (
            <li key={number}>
              <span class="hint">{dayAndTime(at)}</span> {text}
            </li>
          ))}
        </ul>
      )}
      {visit.stage !== 'closed' && (
        <div class="field-and-button">
          <WideField name={texts.visit.note} typed={typed} onType={(text) => (noteText.value = text)} testid="visit-note" />
          <button type="submit" class="quiet" disabled={busy.value || typed.trim() === ''} data-testid="visit-note-keep">
            {texts.visit.noteKeep}
          </button>
        </div>
      )}
    </form>
  );
}

function Earlier({ line }: { line: VisitLineView }) {
  const about = `visit-${line.id}`;
  return (
    <li class="card" data-testid={about} data-stage={line.stage}>
      <p class="card-words">
        <b>{line.car}</b> {dayAndTime(line.began_at)}, {texts.visit.stage[line.stage]} {line.at_hand && <b>({texts.visit.atHand})</b>}
      </p>
      <div class="buttons">
        {!line.at_hand && (
          <button type="button" class="quiet" disabled={busy.value} onClick={() => void wish.toHand(line.id)} data-testid={`${about}-to-hand`}>
            {texts.visit.toHand}
          </button>
        )}
        <a class="button quiet" href={sheetOf(line.id, notation.value, texts.code)} target="_blank" rel="noreferrer" data-testid={`${about}-sheet`}>
          {texts.visit.sheet}
        </a>
        <button type="button" class="quiet" onClick={() => askAbout(about)} data-testid={`${about}-remove`}>
          {texts.visit.remove}
        </button>
      </div>
      <NameAsk
        about={about}
        name={line.car}
        say={texts.visit.removeAsk(line.car)}
        field={texts.visit.removeField}
        go={texts.visit.removeNow}
        keep={texts.visit.keepIt}
        onGo={() => wish.removeVisit(line.id, line.car)}
      />
    </li>
  );
}

export function VisitOpen({ visit }: { visit: VisitView | null }) {
  const known = visits.value ?? [];
  return (
    <div class="visit-open">
      <Refusal by="visit" />
      {visit !== null ? (
        <>
          <div class="part-head">
            <p class="hint">{texts.visit.began(dayAndTime(visit.began_at))}</p>
            <NotationChoice />
            <button type="button" class="quiet" disabled={busy.value} onClick={() => void wish.putAway()} data-testid="visit-put-away">
              {texts.visit.putAway}
            </button>
          </div>
          <Notes visit={visit} />
        </>
      ) : (
        <p class="about">{texts.visit.choose}</p>
      )}
      <Cars />
      <section>
        <h3>{texts.visit.list}</h3>
        <Refusal by="visits" />
        {known.length === 0 && <p class="hint">{texts.visit.listNone}</p>}
        <ul class="cards">
          {known.map((line) => (
            <Earlier key={line.id} line={line} />
          ))}
        </ul>
      </section>
    </div>
  );
}
