// The page in another language: chosen by a touch, kept by the tablet, and as large as before.
import type { Page } from '@playwright/test';
import { expect, test } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';
import { too_small } from '../touch.ts';
import { open_line, ready } from '../worksheet.ts';

/** As in the sizes of the English page. */
const FIGURE_MM = 40;
const LEGIBLE_MM = 19;

const german = (page: Page) => page.getByTestId('language-de');

/** Fails when the page was loaded anew. */
async function mark(page: Page): Promise<void> {
  await page.evaluate(() => ((window as { marked?: boolean }).marked = true));
}
const marked = (page: Page) => page.evaluate(() => (window as { marked?: boolean }).marked === true);

test('a touch changes the language without loading the page anew', async ({ page, demo, complaints }) => {
  const fetched: string[] = [];
  page.on('request', (request) => fetched.push(request.url().slice(demo.address.length)));
  await page.goto(demo.address);
  await ready(page);
  await open_line(page, 'camber');
  await mark(page);
  expect(fetched.filter((path) => path.startsWith('/assets/de'))).toEqual([]);

  await german(page).click();
  await expect(page.locator('html')).toHaveAttribute('lang', 'de');
  await expect(page.getByTestId('line-boards')).toContainText('Platinen');
  await expect(page.getByTestId('camber-front_left').locator('.figure')).toContainText(/\d,\d\d/);
  await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'live');
  expect(fetched.filter((path) => path.startsWith('/api/v1/stream'))).toEqual(['/api/v1/stream?language=en', '/api/v1/stream?language=de']);

  await page.getByTestId('language-en').click();
  await expect(page.locator('html')).toHaveAttribute('lang', 'en');
  await expect(page.getByTestId('camber-front_left').locator('.figure')).toContainText(/\d\.\d\d/);
  expect(await marked(page)).toBe(true);
  expect(complaints).toEqual([]);
});

test('the tablet keeps the language, and shows no other before it', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  await german(page).click();
  await expect(page.locator('html')).toHaveAttribute('lang', 'de');
  await page.addInitScript(() => {
    const seen = ((window as { seen?: Set<string> }).seen = new Set<string>());
    new MutationObserver(() => document.querySelectorAll('h2').forEach((title) => seen.add(title.textContent ?? ''))).observe(document, { childList: true, subtree: true });
  });
  await page.reload();
  await ready(page);
  await expect(page.getByTestId('line-boards')).toContainText('Platinen');
  const seen = await page.evaluate(() => [...((window as { seen?: Set<string> }).seen ?? [])]);
  expect(seen).toContain('Platinen');
  expect(seen).not.toContain('Boards');
});

test.describe('a browser that asks for German', () => {
  test.use({ locale: 'de-AT' });
  test('gets it at the first start', async ({ page, demo }) => {
    await page.goto(demo.address);
    await ready(page);
    await expect(page.getByTestId('line-camber')).toContainText('Sturz jetzt');
    await expect(page.locator('html')).toHaveAttribute('lang', 'de');
  });
});

for (const notation of ['degrees', 'minutes'] as const) {
  test(`German in ${notation} is as large, and nothing has to be scrolled sideways`, async ({ page, demo }) => {
    await page.addInitScript((chosen) => {
      localStorage.setItem('hubplumb-language', 'de');
      localStorage.setItem('hubplumb-notation', chosen);
    }, notation);
    await page.goto(demo.address);
    await ready(page);
    for (const line of ['visit', 'floor', 'run_out', 'swing', 'camber'] as const) {
      await open_line(page, line);
      const [content_px, shown_px] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      expect(content_px, line).toBeLessThanOrEqual(shown_px!);
      expect(await too_small(page), line).toEqual([]);
    }
    const figure = page.getByTestId('camber-front_left').locator('.figure');
    await expect(figure).toContainText(notation === 'minutes' ? /\d°\d\d′/ : /\d,\d\d°/);
    expect(await digit_height_mm(figure)).toBeGreaterThanOrEqual(LEGIBLE_MM);
    await page.getByTestId('camber-front_left').getByRole('button').click();
    await expect(page.locator('.wheels-focus')).toBeVisible();
    expect(await digit_height_mm(figure)).toBeGreaterThanOrEqual(FIGURE_MM);
  });
}
