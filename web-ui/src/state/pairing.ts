// Pairing this tablet: the code from the terminal, typed where a press was refused, or brought along in the address.
import { batch } from '@preact/signals';
import { pair } from '../contract/requests';
import type { ProblemView } from '../contract/types';
import { texts } from '../texts';
import { problem } from './index';
import { refused } from './visit';

/** Refused because this tablet is not paired: the code is asked for there. */
export const NOT_PAIRED = 'not_paired';

/** What came of a code stands where the press was refused. */
function tell(told: ProblemView): void {
  batch(() => {
    if (problem.value?.code === NOT_PAIRED) problem.value = told;
    if (refused.value?.problem.code === NOT_PAIRED) refused.value = { ...refused.value, problem: told };
  });
}

async function tried(code: string): Promise<ProblemView> {
  const answer = await pair(code);
  // A code that was refused may be typed again in the same place.
  return answer.ok ? { type: '', status: 0, code: 'paired', remedy: '', ...texts.pair.done } : { ...answer.problem, code: NOT_PAIRED };
}

/** A code is sent as soon as it is whole, and the field is empty for another. */
export async function typeCode(field: HTMLInputElement): Promise<void> {
  const code = field.value.replace(/\D/g, '');
  if (code.length < 8) return;
  field.value = '';
  tell(await tried(code));
}

/** Called once: the terminal's picture and address bring a code along, which the address keeps no longer. */
export function pairByAddress(): void {
  const code = /^#pair=(\d+)$/.exec(location.hash)?.[1];
  if (code === undefined) return;
  history.replaceState(null, '', location.pathname);
  void tried(code).then((told) => (problem.value = told));
}
