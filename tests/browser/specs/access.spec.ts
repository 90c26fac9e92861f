// Keys, zoom, themes and forced colours: what axe-core cannot see.
import type { Page } from '@playwright/test';
import { expect, test } from '../gallery/gallery.ts';
import { cut_off } from '../gallery/faults.ts';
import { SCREENS } from '../gallery/screens.ts';

const named = (name: string) => {
  const screen = SCREENS.find((one) => one.name === name);
  if (!screen) throw new Error(`no screen ${name}`);
  return screen;
};

/** Screens of every kind: worksheet, table, form, stages. */
const KINDS = ['camber', 'table', 'car-form', 'figures-refused', 'swing-turning', 'swing-plates', 'calibration-lay', 'adjust-step'];

test('every control is reached by the keyboard, in the order of the page, and shows it', async ({ page, gallery }) => {
  for (const name of ['camber', 'swing-plates', 'table']) {
    const screen = named(name);
    await gallery.show(page, screen.scene);
    await screen.go?.(page, gallery);
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
    const reached: string[] = [];
    const count = await page.evaluate(() => {
      const all = [...document.querySelectorAll<HTMLElement>('button:not(:disabled), a[href], summary, input, select, textarea')].filter((element) => element.checkVisibility());
      all.forEach((element, nth) => (element.dataset['nth'] = String(nth)));
      // Of radio buttons the keyboard goes to one of each group.
      const radios = all.filter((element) => element.matches('input[type=radio]')) as HTMLInputElement[];
      return all.length - radios.length + new Set(radios.map(({ name }) => name)).size;
    });
    // The keyboard goes on from where the last press was: here from the top.
    await page.locator('[data-nth="0"]').focus();
    await page.keyboard.press('Shift+Tab');
    for (let nth = 0; nth < count; nth += 1) {
      await page.keyboard.press('Tab');
      reached.push(
        await page.evaluate(() => {
          const element = document.activeElement as HTMLElement;
          const { outlineStyle, outlineWidth } = getComputedStyle(element.matches('.file-button input') ? (element.closest('label') ?? element) : element);
          return `${element.dataset['nth'] ?? '?'} ${outlineStyle !== 'none' && Number.parseFloat(outlineWidth) >= 3 ? 'seen' : 'unseen'}`;
        }),
      );
    }
    expect(reached.filter((one) => !one.endsWith(' seen')), `${name}: ${reached.join(', ')}`).toEqual([]);
    const order = reached.map((one) => Number(one.split(' ')[0]));
    expect(order.filter((at, nth) => nth > 0 && at <= (order[nth - 1] ?? 0)), name).toEqual([]);
  }
});

for (const name of KINDS) {
  test(`${name}: text twice as large, and the page zoomed to 200 %`, async ({ page, gallery }) => {
    const screen = named(name);
    await gallery.show(page, screen.scene);
    await screen.go?.(page, gallery);
    // The size of text that is set in the browser: its usual one is 16 px.
    const session = await page.context().newCDPSession(page);
    await session.send('Page.setFontSizes', { fontSizes: { standard: 32 } });
    expect(await page.evaluate(() => Number.parseFloat(getComputedStyle(document.documentElement).fontSize))).toBe(32);
    for (const [width, height] of [[1280, 800], [800, 1280]] as const) {
      await page.setViewportSize({ width, height });
      expect.soft(await cut_off(page), `text on ${width}`).toEqual([]);
    }
    await session.send('Page.setFontSizes', { fontSizes: { standard: 16 } });
    await page.setViewportSize({ width: 640, height: 400 });
    expect.soft(await cut_off(page), 'zoomed').toEqual([]);
  });
}

const paper = (page: Page) => page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);

test('the ink follows the tablet, or the switch, which is kept', async ({ page, gallery }) => {
  await page.emulateMedia({ colorScheme: 'dark' });
  await gallery.show(page, 'idle');
  const dark = await paper(page);
  await page.emulateMedia({ colorScheme: 'light' });
  const daylight = await paper(page);
  expect(daylight).not.toBe(dark);
  const theme = page.getByTestId('theme');
  await expect(theme).toHaveAttribute('data-theme-now', 'auto');
  await theme.click();
  await page.emulateMedia({ colorScheme: 'dark' });
  expect(await paper(page)).toBe(daylight);
  await theme.click();
  await page.emulateMedia({ colorScheme: 'light' });
  expect(await paper(page)).toBe(dark);
  await page.reload();
  await expect(theme).toHaveAttribute('data-theme-now', 'dark');
  expect(await paper(page)).toBe(dark);
  await theme.click();
  expect(await paper(page)).toBe(daylight);
});

test('a sentence is told politely, a reading never', async ({ page, gallery }) => {
  for (const screen of SCREENS.filter(({ stage }) => stage === true)) {
    await gallery.show(page, screen.scene);
    await screen.go?.(page, gallery);
    const regions = await page.locator('main [aria-live]').evaluateAll((all) => all.map((one) => ({ how: one.getAttribute('aria-live'), figures: one.querySelectorAll('.figure, .hold, .matter').length })));
    for (const region of regions) expect(region, screen.name).toEqual({ how: 'polite', figures: 0 });
  }
});

test('nothing moves by itself, so that nothing has to be stopped', async ({ page, gallery }) => {
  await page.emulateMedia({ reducedMotion: 'no-preference' });
  for (const name of KINDS) {
    const screen = named(name);
    await gallery.show(page, screen.scene);
    await screen.go?.(page, gallery);
    expect(await page.evaluate(() => document.getAnimations().length), name).toBe(0);
    const eased = await page.evaluate(() => [...document.querySelectorAll('*')].filter((element) => getComputedStyle(element).transitionDuration.split(',').some((one) => Number.parseFloat(one) > 0)).length);
    expect(eased, name).toBe(0);
  }
});

test('where the system gives the colours, bands keep an edge and what is chosen an outline', async ({ page, gallery }) => {
  await page.emulateMedia({ forcedColors: 'active' });
  await gallery.show(page, 'hold');
  const band = page.locator('.deed');
  expect(await band.evaluate((element) => getComputedStyle(element).borderBottomStyle)).toBe('double');
  const bar = page.locator('.hold-bar span');
  const [filled, behind] = await bar.evaluate((element) => [getComputedStyle(element).backgroundColor, getComputedStyle(element.parentElement ?? element).backgroundColor]);
  expect(filled).not.toBe(behind);
  await gallery.show(page, 'visit_before');
  const chosen = page.locator('[aria-pressed="true"]').first();
  await named('figures-gap').go?.(page, gallery);
  expect(await chosen.evaluate((element) => getComputedStyle(element).outlineStyle)).toBe('solid');
});
