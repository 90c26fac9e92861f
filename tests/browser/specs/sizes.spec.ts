// Read from three metres and worked with dirty hands: sizes measured from the layout.
import { expect, test } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';
import { too_small } from '../touch.ts';
import { open_line, ready } from '../worksheet.ts';

/** The one figure that matters now, on a ten-inch tablet. */
const FIGURE_MM = 40;
/** 22 minutes of arc at three metres, the least for reading at ease (ISO 9241 series, from memory). */
const LEGIBLE_MM = 19;
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
