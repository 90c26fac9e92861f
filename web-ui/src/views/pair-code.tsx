// Where the code from the terminal is typed.
import { NOT_PAIRED, typeCode } from '../state/pairing';
import { texts } from '../texts';

export function PairCode({ of }: { of: string }) {
  if (of !== NOT_PAIRED) return null;
  return (
    <label class="wide-field">
      <span>{texts.pair.code}</span>
      {/* Focused, so that it is seen however far down the press was. */}
      <input ref={(field) => field?.focus()} inputMode="numeric" autocomplete="off" maxLength={9} onInput={(event) => void typeCode(event.currentTarget)} data-testid="pair-code" />
    </label>
  );
}
