// One typed figure with its name and unit.
interface FieldProps {
  name: string;
  unit?: string;
  typed: string;
  onType: (typed: string) => void;
  testid?: string;
  wrong?: boolean;
  /** What stands in the field while it is empty. */
  empty?: string;
  /** Said below the field, e.g. what is wanted. */
  hint?: string | undefined;
}

export function Field({ name, unit = '', typed, onType, testid, wrong = false, empty = '', hint }: FieldProps) {
  return (
    <label class={`measure field${wrong ? ' field-wrong' : ''}`}>
      <span>
        {name}
        {hint !== undefined && <small>{hint}</small>}
      </span>
      <input
        type="text"
        inputMode="decimal"
        autoComplete="off"
        aria-invalid={wrong}
        placeholder={empty}
        data-testid={testid}
        value={typed}
        onInput={(event) => onType(event.currentTarget.value)}
      />
      <span class="unit">{unit}</span>
    </label>
  );
}

/** A longer text, as wide as its place. */
export function WideField({ name, typed, onType, testid, empty = '' }: Omit<FieldProps, 'unit' | 'wrong' | 'hint'>) {
  return (
    <label class="wide-field">
      <span>{name}</span>
      <input type="text" autoComplete="off" placeholder={empty} data-testid={testid} value={typed} onInput={(event) => onType(event.currentTarget.value)} />
    </label>
  );
}

interface PickProps<T extends string> {
  name: string;
  choices: readonly (readonly [T, string])[];
  chosen: T | null;
  onPick: (picked: T) => void;
  testid?: string;
}

/** A few choices side by side, each as large as a thumb. */
export function Pick<T extends string>({ name, choices, chosen, onPick, testid }: PickProps<T>) {
  return (
    <div class="pick" role="group" aria-label={name}>
      {choices.map(([value, words]) => (
        <button key={value} type="button" class="side" aria-pressed={chosen === value} onClick={() => onPick(value)} data-testid={testid && `${testid}-${value}`}>
          {words}
        </button>
      ))}
    </div>
  );
}
