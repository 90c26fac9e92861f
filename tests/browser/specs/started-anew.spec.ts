// The daemon is killed after the floor was surveyed: nobody has to do it again, if nothing was moved.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from '@playwright/test';
import { Demo, expect, test } from '../demo.ts';
import { too_small } from '../touch.ts';
import { fits_both_ways } from '../worksheet.ts';

const HEIGHTS = {
  front_left_mm: 0,
  front_right_mm: 6.5,
  rear_left_mm: 1,
  rear_right_mm: 7,
  standard_mm: 0.5,
  track_front_mm: 1480,
  track_rear_mm: 1480,
  wheelbase_mm: 2560,
};

const floor = (page: Page) => page.getByTestId('floor-line');
const offer = (page: Page) => page.getByTestId('found-before');

/** A surveyed floor, the program killed and started again, and its page as it was left open. */
async function started_anew(page: Page, act: (page: Page) => Promise<void>): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'hubplumb-anew-'));
  // A board that is not plugged in: without any the page would ask for boards first.
  const config = join(folder, 'hubplumb.toml');
  writeFileSync(config, `[[board]]\nport = "${join(folder, 'no-such-port')}"\n`);
  const asked = ['--store', join(folder, 'store'), '--config', config];
  const first = await Demo.start(asked, 'run');
  let second: Demo | undefined;
  try {
    await page.goto(first.address);
    await expect(floor(page)).toHaveAttribute('data-by', 'configuration');
    await expect(offer(page)).toHaveCount(0);
    const surveyed = await fetch(`${first.address}/api/v1/floor/heights`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ ...HEIGHTS, reads: 'pad_height' }),
    });
    expect(surveyed.status).toBe(200);
    // Once it is answered it may be killed in the same moment.
    await first.kill();
    second = await Demo.start(asked, 'run', first.listen);
    await expect(offer(page)).toContainText('the slope of the floor', { timeout: 20_000 });
    await expect(floor(page)).toHaveAttribute('data-by', 'configuration');
    await act(page);
  } finally {
    await first.kill();
    await second?.kill();
    rmSync(folder, { recursive: true, force: true });
  }
}

test('what was found before goes on with one press', async ({ page }) => {
  await started_anew(page, async () => {
    await fits_both_ways(page, 'found before');
    expect(await too_small(page)).toEqual([]);
    await page.screenshot({ path: test.info().outputPath('found-before.png') });
    await page.getByTestId('go-on').click();
    await expect(floor(page)).toHaveAttribute('data-by', 'heights');
    // 6.5 and 6 mm across 1480 mm, right side higher.
    const roll_deg = Number(await floor(page).getAttribute('data-roll-deg'));
    expect(Math.abs(roll_deg + (Math.asin(6.25 / 1480) * 180) / Math.PI)).toBeLessThan(0.001);
    await expect(offer(page)).toHaveCount(0);
  });
});

test('or is left, in German too', async ({ page }) => {
  await started_anew(page, async () => {
    await page.getByTestId('language-de').click();
    await expect(offer(page)).toContainText('die Neigung des Bodens');
    await page.getByTestId('leave-earlier').click();
    await expect(offer(page)).toHaveCount(0);
    await expect(floor(page)).toHaveAttribute('data-by', 'configuration');
    await page.reload();
    await expect(floor(page)).toHaveAttribute('data-by', 'configuration');
    await expect(offer(page)).toHaveCount(0);
  });
});
