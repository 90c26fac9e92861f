// A finding on the page against the truth of the simulated car.
import { expect, type Locator } from '@playwright/test';

export interface Shown {
  value: number;
  expanded: number;
}

const number_of = async (found: Locator, ...names: string[]): Promise<number> => {
  for (const name of names) {
    const text = await found.getAttribute(name);
    if (text !== null) return Number(text);
  }
  throw new Error(`none of ${names.join(', ')} on ${found}`);
};

/** Figures as the page writes them: a true minus, no blanks. */
const bare = (text: string): string => text.replace(/[\s\u00a0\u202f]/g, '').replaceAll('\u2212', '-');

/** What a finding says, where the text that is read is the value that is meant. */
export async function shown(found: Locator, decimals = 2): Promise<Shown> {
  await expect(found).toBeVisible();
  const value = await number_of(found, 'data-value', 'data-value-deg', 'data-slope-deg');
  const expanded = await number_of(found, 'data-expanded', 'data-expanded-deg');
  const text = bare(await found.innerText());
  const sign = Number(value.toFixed(decimals)) > 0 ? '+' : '';
  expect(text).toContain(`${sign}${value.toFixed(decimals).replace(/^-(0\.?0*)$/, '$1')}`);
  const up = Math.ceil(expanded * 10 ** decimals - 1e-6) / 10 ** decimals;
  expect(text).toContain(`±${up.toFixed(decimals)}`);
  return { value, expanded };
}

/**
 * The truth lies within the ± that is shown, and that ± is no wider than the work can use.
 * What was seen is printed, so that a margin that shrinks is noticed before it is gone.
 */
export async function agrees(what: string, found: Locator, truth: number, widest: number, decimals = 2): Promise<void> {
  const { value, expanded } = await shown(found, decimals);
  within(what, { value, expanded }, truth, widest);
}

export function within(what: string, { value, expanded }: Shown, truth: number, widest: number): void {
  const error = value - truth;
  console.log(`${what}: ${value.toFixed(4)} ± ${expanded.toFixed(4)}, truth ${truth.toFixed(4)}, error ${error.toFixed(4)}`);
  expect(Math.abs(error), `${what}: ${value} ± ${expanded}, true ${truth}`).toBeLessThanOrEqual(expanded);
  expect(expanded, `± of ${what}`).toBeLessThanOrEqual(widest);
  expect(expanded, `± of ${what}`).toBeGreaterThan(0);
}
