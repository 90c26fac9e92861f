// Above what is read from afar: the screen may go dark, and why.
import { awakeRead, awakeTrouble } from '../state/awake';
import { texts } from '../texts';

export function AwakeNote() {
  const trouble = awakeTrouble.value;
  if (trouble === null) return null;
  return (
    <div class="awake-note" role="status" data-testid="awake-note" data-state={trouble}>
      <p>{texts.handsFree.awake[trouble]}</p>
      <button type="button" class="quiet" onClick={() => awakeRead.choose(trouble)} data-testid="awake-read">
        {texts.handsFree.understood}
      </button>
    </div>
  );
}
