// A deletion asks: what is to go has to be named.
import { signal } from '@preact/signals';
import { busy } from '../state/visit';

/** What is being asked about, and what was typed so far. One question at a time. */
const question = signal<{ about: string; typed: string } | null>(null);

export const askAbout = (about: string): void => void (question.value = { about, typed: '' });
export const isAsked = (about: string): boolean => question.value?.about === about;

interface NameAskProps {
  about: string;
  name: string;
  say: string;
  field: string;
  go: string;
  keep: string;
  onGo: () => Promise<boolean>;
}

export function NameAsk({ about, name, say, field, go, keep, onGo }: NameAskProps) {
  if (!isAsked(about)) return null;
  const typed = question.value?.typed ?? '';
  return (
    <form
      class="name-ask"
      data-testid="name-ask"
      onSubmit={(event) => {
        event.preventDefault();
        if (typed.trim() === name) void onGo().then((gone) => gone && (question.value = null));
      }}
    >
      <p>{say}</p>
      <label class="wide-field">
        <span>{field}</span>
        <input type="text" autoComplete="off" value={typed} onInput={(event) => (question.value = { about, typed: event.currentTarget.value })} data-testid="name-ask-field" />
      </label>
      <div class="buttons">
        <button type="button" class="quiet" onClick={() => (question.value = null)}>
          {keep}
        </button>
        <button type="submit" class="cancel" disabled={busy.value || typed.trim() !== name} data-testid="name-ask-go">
          {go}
        </button>
      </div>
    </form>
  );
}
