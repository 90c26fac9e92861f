// Degrees, or degrees and minutes.
import { chooseNotation, notation } from '../state/notation';
import { visit as texts } from '../texts/visit';
import { Pick } from './field';

export function NotationChoice() {
  return (
    <div class="notation">
      <span>{texts.notation}</span>
      <Pick
        name={texts.notation}
        choices={[
          ['degrees', '1.50°'],
          ['minutes', '1°30\u2032'],
        ]}
        chosen={notation.value}
        onPick={chooseNotation}
        testid="notation"
      />
    </div>
  );
}
