// A car from a file, pasted or chosen.
import { useEffect } from 'preact/hooks';
import { signal } from '@preact/signals';
import { busy, panel, wish } from '../../state/visit';
import { texts } from '../../texts';
import { Refusal } from '../refusal';

const text = signal('');

export function CarImport() {
  useEffect(() => window.scrollTo(0, 0), []);
  return (
    <form
      class="panel car-import"
      data-testid="car-import-form"
      onSubmit={(event) => {
        event.preventDefault();
        void wish.importCar(text.value).then((kept) => kept && (text.value = ''));
      }}
    >
      <header class="panel-head">
        <h2>{texts.importing.title}</h2>
        <label class="file-button">
          {texts.importing.file}
          <input
            type="file"
            accept=".toml,.json,text/plain,application/json"
            data-testid="car-import-file"
            onChange={(event) => void event.currentTarget.files?.[0]?.text().then((read) => (text.value = read))}
          />
        </label>
      </header>
      <p class="about">{texts.importing.about}</p>
      <textarea
        rows={14}
        spellcheck={false}
        aria-label={texts.importing.text}
        data-testid="car-import-text"
        value={text.value}
        onInput={(event) => (text.value = event.currentTarget.value)}
      />
      <Refusal by="import" />
      <footer class="panel-foot">
        <button type="button" class="quiet" onClick={() => (panel.value = null)}>
          {texts.importing.cancel}
        </button>
        <button type="submit" class="deed-button deed-button-large" disabled={busy.value || text.value.trim() === ''} data-testid="car-import-take">
          {texts.importing.take}
        </button>
      </footer>
    </form>
  );
}
