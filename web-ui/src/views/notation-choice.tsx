// Degrees, or degrees and minutes.
import { chooseNotation, notation } from '../state/notation';
import { plain } from '../state/shown';
import { texts } from '../texts';
import { Pick } from './field';

export function NotationChoice() {
  return (
    <div class="notation">
      <span>{texts.visit.notation}</span>
      <Pick
        name={texts.visit.notation}
        choices={[
          ['degrees', `${plain(1.5, 2)}°`],
          ['minutes', '1°30\u2032'],
        ]}
        chosen={notation.value}
        onPick={chooseNotation}
        testid="notation"
      />
    </div>
  );
}
