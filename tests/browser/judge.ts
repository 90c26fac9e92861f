// A finding on the page against the truth of the simulated car.
import { expect, type Locator } from '@playwright/test';

export interface Shown {
  value: number;
  expanded: number;
}

/** Figures as the page writes them: a true minus, no blanks. */
const bare = (text: string): string => text.replace(/[\s\u00a0\u202f]/g, '').replaceAll('\u2212', '-');

const signed = (value: number, decimals: number): string => {
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? text.replace('-', '') : value > 0 ? `+${text}` : text;
};

/** What a finding says; the text that is read must be the value that is meant. */
export async function shown(found: Locator, decimals = 2): Promise<Shown> {
  await expect(found).toBeVisible();
  // Taken at one moment: a live value changes while it is looked at.
  const { value, expanded, text } = await found.evaluate((element: HTMLElement) => {
    const { value, valueDeg, slopeDeg, expanded, expandedDeg } = element.dataset;
    return { value: Number(value ?? valueDeg ?? slopeDeg), expanded: Number(expanded ?? expandedDeg), text: element.innerText };
  });
  expect(bare(text)).toContain(signed(value, decimals));
  const up = Math.ceil(expanded * 10 ** decimals - 1e-6) / 10 ** decimals;
  expect(bare(text)).toContain(`±${up.toFixed(decimals)}`);
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
