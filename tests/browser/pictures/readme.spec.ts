// The pictures of the README, taken from the running demonstration.
import { fileURLToPath } from 'node:url';
import { expect, test } from '../demo.ts';
import { open_line, ready, start_swing } from '../worksheet.ts';

const picture = (name: string) => fileURLToPath(new URL(`../../../docs/images/${name}`, import.meta.url));

test('a stop being held, and the findings', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  await start_swing(page);
  await expect(page.getByTestId('rest-1')).toBeVisible({ timeout: 120_000 });
  await expect(page.getByTestId('swing-phase').first()).toHaveAttribute('data-phase', 'hold_stop', { timeout: 120_000 });
  // Half way through the hold, when its bar tells something.
  const held_s = async () => Number(await page.getByTestId('swing-hold').getAttribute('aria-valuenow'));
  await expect.poll(held_s, { intervals: [100] }).toBeGreaterThan(2);
  await page.screenshot({ path: picture('swing.png') });
  await expect.poll(async () => (await demo.state()).swing.phase, { timeout: 120_000 }).toBe('done');
  await open_line(page, 'findings');
  await expect(page.getByTestId('finding-front_left-caster')).toBeVisible();
  await page.screenshot({ path: picture('results.png') });
});
