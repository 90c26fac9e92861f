// Light, quick and even: what a tablet of some years ago must carry. `npm run measure` has the long figures.
import { expect, test } from '@playwright/test';
import { FourBoards } from '../pace/four-boards.ts';
import { kept_over, slope_per_min, until_figure_ms, weight, type Kept } from '../pace/pace.ts';
import { open_line } from '../worksheet.ts';

/** Packed: scripts and styles with both languages, and what comes before the first figure. */
const BUNDLE_BYTES = 120_000;
const FIRST_BYTES = 20_000;
/**
 * With the processor slowed to a quarter. The aim is half a second, and docs/PAGE_FIGURES.md has what was measured last on a
 * quiet machine. Beside other tests it takes longer; this keeps what is reached then.
 */
const FIGURE_MS = 1000;
/**
 * Growth in a minute. Two lines through 100 s each of one page rose by -18 and +75 kB a minute, which is chance: less than
 * twice that is not told from it in so short a time. 8 hours of it are 72 MB. `npm run measure` looks for 10 minutes.
 */
const HEAP_BYTES_PER_MIN = 150_000;
const NODES_PER_MIN = 10;
const LISTENERS_PER_MIN = 2;

const grows = (looks: readonly Kept[]): string[] => {
  const slopes = [
    ['heap', slope_per_min(looks, ({ heap_bytes }) => heap_bytes), HEAP_BYTES_PER_MIN],
    ['nodes', slope_per_min(looks, ({ nodes }) => nodes), NODES_PER_MIN],
    ['listeners', slope_per_min(looks, ({ listeners }) => listeners), LISTENERS_PER_MIN],
  ] as const;
  return slopes.filter(([, slope, most]) => slope > most).map(([name, slope]) => `${name} grow by ${slope.toFixed(1)} a minute`);
};

test('the page is light', () => {
  const { bundle, first } = weight();
  expect(first).toBeGreaterThan(10_000);
  expect(bundle).toBeLessThan(BUNDLE_BYTES);
  expect(first).toBeLessThan(FIRST_BYTES);
});

test.describe('with four boards at 100 readings a second', () => {
  let boards: FourBoards;
  test.beforeAll(async () => {
    boards = await FourBoards.start();
  });
  test.afterAll(() => boards.stop());

  test('a live figure does not come later than it does on a slow tablet', async ({ browser }) => {
    const tries: number[] = [];
    // The quickest of a few: a busy machine makes it slower and never quicker.
    while (tries.length < 8 && !tries.some((one) => one < FIGURE_MS)) tries.push(await until_figure_ms(browser, boards.address, 4));
    expect(Math.min(...tries)).toBeLessThan(FIGURE_MS);
  });

  test('minutes of readings leave nothing behind', async ({ page }) => {
    test.setTimeout(300_000);
    await page.goto(boards.address);
    await open_line(page, 'camber');
    await expect(page.locator('.wheel .figure')).toHaveCount(4);
    // Until then the browser's own compilers fill their stores.
    await page.waitForTimeout(20_000);
    // Over one minute the browser's own stores scatter more than what is looked for.
    expect(grows(await kept_over(page, 150, 15))).toEqual([]);
  });
});

test('a page that keeps what it was told would be found', async ({ page }) => {
  await page.setContent('<main></main>');
  await page.evaluate(() => {
    const kept: string[] = [];
    setInterval(() => {
      kept.push('reading '.repeat(200) + kept.length);
      document.querySelector('main')?.append(document.createElement('i'));
    }, 20);
  });
  const found = grows(await kept_over(page, 8, 1));
  expect(found.some((one) => one.startsWith('heap'))).toBe(true);
  expect(found.some((one) => one.startsWith('nodes'))).toBe(true);
});
