// Read from three metres and worked with dirty hands: sizes measured from the layout.
import type { Page } from '@playwright/test';
import { expect, test } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';
import { open_line, ready } from '../worksheet.ts';

/** The one figure that matters now, on a ten-inch tablet. */
const FIGURE_MM = 40;
/** 22 minutes of arc at three metres, the least for reading at ease (ISO 9241 series, from memory). */
const LEGIBLE_MM = 19;
/** Least side of anything a finger must hit: 12 mm on a ten-inch tablet. */
const TOUCH_PX = 72;

async function too_small(page: Page): Promise<string[]> {
  const targets = page.locator('button:visible, a[href]:visible, summary:visible, input:visible, select:visible, [role=button]:visible');
  return targets.evaluateAll(
    (elements, least) =>
      elements.flatMap((element) => {
        // What a label holds is hit by hitting the label.
        const hit = element.closest('label') ?? element;
        const { width, height } = hit.getBoundingClientRect();
        const name = element.getAttribute('data-testid') ?? element.textContent ?? '';
        return width >= least && height >= least ? [] : [`${element.tagName} "${name.trim()}" is ${width} x ${height}`];
      }),
    TOUCH_PX,
  );
}

test('camber of one wheel alone stands 40 mm high, of two wheels at least 19 mm', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  await open_line(page, 'camber');
  for (const mount of ['front_left', 'front_right']) {
    const figure = page.getByTestId(`camber-${mount}`).locator('.figure');
    expect(await digit_height_mm(figure)).toBeGreaterThanOrEqual(LEGIBLE_MM);
  }
  await page.getByTestId('camber-front_left').getByRole('button').click();
  await expect(page.locator('.wheels-focus')).toBeVisible();
  const alone = page.getByTestId('camber-front_left').locator('.figure');
  expect(await digit_height_mm(alone)).toBeGreaterThanOrEqual(FIGURE_MM);
});

test('everything to be touched is at least 72 px wide and high', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  const lines = [
    () => open_line(page, 'camber'),
    () => open_line(page, 'floor'),
    () => open_line(page, 'run_out'),
    () => open_line(page, 'swing'),
    () => page.getByTestId('boards-details').click(),
  ];
  for (const open of lines) {
    await open();
    expect(await page.locator('button:visible').count()).toBeGreaterThan(2);
    expect(await too_small(page)).toEqual([]);
  }
});

test('a target that is too small would be found', async ({ page }) => {
  await page.setContent('<button style="width:80px;height:71px">low</button><button style="width:80px;height:80px">fair</button>');
  expect(await too_small(page)).toEqual(['BUTTON "low" is 80 x 71']);
});

test('nothing has to be scrolled sideways', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  for (const line of ['floor', 'run_out', 'camber', 'swing'] as const) {
    await open_line(page, line);
    const [content_px, shown_px] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    expect(content_px, line).toBeLessThanOrEqual(shown_px!);
  }
});
