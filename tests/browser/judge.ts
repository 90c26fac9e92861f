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
 * A ± holds the truth 95 times in 100, and one run looks at a hundred of them, the noise of the
 * rests anew each time. So no finding may be farther off than twice its ± (four sigma: once in
 * 16 000). The findings of a worker share their boards, whose faults are drawn once, and those of
 * one swing share its rests: they are a handful of draws, not dozens, so their root mean square is
 * looked at and not how many are outside. It is half a ± where all is well; one and a quarter is
 * seen once in ten thousand with four draws (chi-square).
 */
const FARTHEST = 2;
const FARTHEST_MEAN = 1.25;
const off_by: { what: string; share: number }[] = [];

/** The findings looked at so far are in the mean off by less than their ±. */
export function mostly_within(): void {
  const all = off_by.length;
  const mean = all === 0 ? 0 : Math.sqrt(off_by.reduce((sum, { share }) => sum + share ** 2, 0) / all);
  const outside = off_by.filter(({ share }) => share > 1);
  console.log(`${all - outside.length} of ${all} findings lie within their ±, in the mean off by ${mean.toFixed(2)} of it`);
  const beyond = outside.map(({ what, share }) => `${what} ${share.toFixed(2)}`).join(', ');
  off_by.length = 0;
  if (all >= 4) expect(mean, `beyond their ±: ${beyond}`).toBeLessThanOrEqual(FARTHEST_MEAN);
}

/**
 * The truth lies by the finding as near as its ± says, and that ± is no wider than the work can use.
 * What was seen is printed, so that a margin that shrinks is noticed before it is gone.
 */
export async function agrees(what: string, found: Locator, truth: number, widest: number, decimals = 2): Promise<void> {
  const { value, expanded } = await shown(found, decimals);
  within(what, { value, expanded }, truth, widest);
}

export function within(what: string, { value, expanded }: Shown, truth: number, widest: number): void {
  const error = value - truth;
  console.log(`${what}: ${value.toFixed(4)} ± ${expanded.toFixed(4)}, truth ${truth.toFixed(4)}, error ${error.toFixed(4)}`);
  off_by.push({ what, share: Math.abs(error) / expanded });
  expect(Math.abs(error), `${what}: ${value} ± ${expanded}, true ${truth}`).toBeLessThanOrEqual(FARTHEST * expanded);
  expect(expanded, `± of ${what}`).toBeLessThanOrEqual(widest);
  expect(expanded, `± of ${what}`).toBeGreaterThan(0);
}
