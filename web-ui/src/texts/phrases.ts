// Words that are found by more than a key.
import type { Quantity } from '../contract/types';
import type { Toward } from '../state/work';
import { texts } from '.';

/** A code for which there are no words is shown as it is, its underscores as blanks. */
const bare = (code: string): string => code.replaceAll('_', ' ');

export const badReason = (code: string): string => texts.boards.reason[code] ?? bare(code);

/** Which way to go, in the words of the angle. */
export function towardWords(quantity: Quantity, toward: Toward): string {
  return texts.work.toward[quantity]?.[toward] ?? (toward === 'plus' ? texts.work.more : texts.work.less);
}

/** The corner that a code names, or the code. */
export const cornerWords = (place: string): string => (texts.mounts as Record<string, string>)[place] ?? bare(place);

/** Name and unit of the field of the form of a car at a path. */
export function fieldWords(path: string): readonly [string, string] {
  const parts = path.split('.');
  const last = parts.at(-1) ?? '';
  if (last in texts.mounts) {
    const { tyreAt, heightAt } = texts.form;
    return parts.includes('tyre_kpa') ? [tyreAt(cornerWords(last)), 'kPa'] : [heightAt(cornerWords(last)), 'mm'];
  }
  const { field } = parts[0] === 'adjuster' ? texts.adjusters : texts.form;
  return field[last] ?? [bare(last), ''];
}

/** Where a field stands in the form, so that it is found there. */
export function fieldPlace(path: string): string {
  const parts = path.split('.');
  const last = parts.at(-1) ?? '';
  const limit = last === 'target' || last === 'low' || last === 'high' ? last : null;
  const [name] = fieldWords(limit === null ? path : parts.slice(0, -1).join('.'));
  return texts.form.place({
    adjuster: parts[0] === 'adjuster' ? Number(parts[1]) + 1 : null,
    axle: parts.includes('front') ? 'front' : parts.includes('rear') ? 'rear' : null,
    name,
    limit: limit === null ? null : texts.form.columns[limit],
    apart: parts.includes('most_difference'),
  });
}
