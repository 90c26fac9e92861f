// The first figures, while the page itself is still on its way.
import { expect, test, type Page } from '@playwright/test';
import { Demo } from '../demo.ts';
import { FourBoards } from '../pace/four-boards.ts';
import { Wire } from '../proxy.ts';

/** What must hold where a figure is older than this, and a look every so often on a busy machine. */
const OLD_MS = 3500;

let boards: FourBoards;
test.beforeAll(async () => {
  boards = await FourBoards.start();
});
test.afterAll(() => boards.stop());

/** Keeps the page itself back until it is let through. */
async function hold_back(page: Page): Promise<() => void> {
  let let_through: () => void = () => undefined;
  const free = new Promise<void>((resolve) => (let_through = resolve));
  await page.route(/\/whole-[^/]*\.js$/, async (route) => {
    await free;
    await route.continue();
  });
  return let_through;
}

/** Left edge, top, width and height of every figure; how far down it is covered by the head. */
const places = (page: Page) =>
  page.evaluate(() => {
    const box = (one: Element) => {
      const { x, y, width, height } = one.getBoundingClientRect();
      return [x, y, width, height].map(Math.round) as [number, number, number, number];
    };
    const head = document.querySelector('.head')!;
    return { figures: [...document.querySelectorAll('.wheel .figure')].map(box), covered: getComputedStyle(head).position === 'sticky' ? box(head)[3] : 0 };
  });

for (const [name, width, height] of [['across', 1280, 800], ['upright', 800, 1280], ['a phone', 390, 844]] as const) {
  test(`the figures stand where the page has them, ${name}`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    const let_through = await hold_back(page);
    await page.goto(boards.address);
    await expect(page.locator('.wheel .fresh')).toHaveCount(4);
    const [names, before] = [await page.locator('.wheel h3').allTextContents(), await places(page)];
    await expect(page.getByTestId('connection')).toHaveCount(0);
    let_through();
    await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'live');
    expect(await page.locator('.wheel h3').allTextContents()).toEqual(names);
    const after = await places(page);
    // A head of two rows takes more room than the empty one did.
    const lower = Math.max(0, after.covered - 76);
    expect(after.figures).toEqual(before.figures.map(([x, y, ...size]) => [x, y + lower, ...size]));
    expect(after.figures[0]![1]).toBeGreaterThan(after.covered);
    expect(after.figures[0]![1] + after.figures[0]![3]).toBeLessThan(height / 2);
  });
}

test('figures that are told no more are marked old, and fresh again when they are', async ({ page }) => {
  const wire = await Wire.lay(boards.address);
  try {
    await hold_back(page);
    await page.goto(wire.address);
    await expect(page.locator('.wheel .fresh')).toHaveCount(4);
    // Still told: nothing is old after longer than a figure may be.
    await page.waitForTimeout(OLD_MS);
    await expect(page.locator('.wheel .fresh')).toHaveCount(4);
    wire.cut();
    await expect(page.locator('.wheel-old .aged')).toHaveCount(4, { timeout: OLD_MS });
    wire.mend();
    await expect(page.locator('.wheel .fresh')).toHaveCount(4, { timeout: OLD_MS });
    await expect(page.locator('.wheel-old')).toHaveCount(0);
  } finally {
    await wire.take_up();
  }
});

test('they are in the language and the notation that this tablet keeps', async ({ page }) => {
  await page.addInitScript(() => {
    localStorage.setItem('hubplumb-language', 'de');
    localStorage.setItem('hubplumb-notation', 'minutes');
    localStorage.setItem('hubplumb-theme', 'dark');
  });
  await hold_back(page);
  await page.goto(boards.address);
  await expect(page.locator('.wheel h3').first()).toHaveText('vorn links');
  await expect(page.locator('.wheel .fresh').first()).toHaveText('jetzt');
  await expect(page.locator('.wheel .figure').first()).toHaveText(/^[+\u2212]?\d+°\d\d\u2032$/);
  await expect(page.locator('.wheel .sense').first()).toHaveText(/^oben (nach )?(innen|außen)|^Null/);
  expect(await page.evaluate(() => [document.documentElement.lang, document.documentElement.dataset['theme']])).toEqual(['de', 'dark']);
});

test('a swing under way is not hidden by them', async ({ page }) => {
  const demo = await Demo.start();
  try {
    await expect.poll(async () => (await demo.state()).swing.phase, { timeout: 30_000 }).not.toBe('idle');
    const let_through = await hold_back(page);
    const asked = page.waitForRequest(/\/whole-/);
    await page.goto(demo.address);
    await asked;
    await expect(page.locator('#page > *')).toHaveCount(0);
    let_through();
    await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'live');
  } finally {
    await demo.kill();
  }
});
