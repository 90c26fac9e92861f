// What is on the screen when the program behind it is gone must not pass for fresh.
import type { Page } from '@playwright/test';
import { Demo, expect, test } from '../demo.ts';
import { Wire } from '../proxy.ts';
import { open_line, ready } from '../worksheet.ts';

/** So soon it must be said, whatever happened to the line. */
const AT_ONCE_MS = 3000;

/** How long after `happens` the page says that the link is in this state. */
async function told_after_ms(page: Page, link: 'lost' | 'live', happens: () => Promise<unknown> | void): Promise<number> {
  // Watched for before it happens: on a busy machine it may be over before the next question is asked.
  await page.evaluate((link) => {
    const shown = () => document.querySelector('[data-testid=connection]')?.getAttribute('data-link') === link;
    const told = new Promise<number>((tell) => {
      const watch = new MutationObserver(() => {
        if (!shown()) return;
        watch.disconnect();
        tell(Date.now());
      });
      watch.observe(document.body, { subtree: true, childList: true, attributes: true });
    });
    Object.assign(globalThis, { told });
  }, link);
  const began_ms = Date.now();
  await happens();
  const ms = (await page.evaluate(() => (globalThis as unknown as { told: Promise<number> }).told)) - began_ms;
  test.info().annotations.push({ type: `${link} after`, description: `${ms} ms` });
  return ms;
}

test('a lost connection is said in words while the old value is marked as old', async ({ page }) => {
  const demo = await Demo.start();
  try {
    await demo.give_up_first_swing();
    await page.goto(demo.address);
    await ready(page);
    await open_line(page, 'camber');
    await expect(page.locator('.wheel-old')).toHaveCount(0);
    expect(await told_after_ms(page, 'lost', () => demo.kill())).toBeLessThan(AT_ONCE_MS);
    await expect(page.getByTestId('connection')).toContainText('connection lost');
    await expect(page.locator('.wheel-old').first()).toBeVisible();
  } finally {
    await demo.kill();
  }
});

test('a wire that is cut without a word is noticed, and the page goes on by itself when it is mended', async ({ page, demo }) => {
  const wire = await Wire.lay(demo.address);
  try {
    await page.goto(wire.address);
    await ready(page);
    await open_line(page, 'camber');
    expect(await told_after_ms(page, 'lost', () => wire.cut())).toBeLessThan(AT_ONCE_MS);
    await expect(page.locator('.wheel-old').first()).toBeVisible();
    // Long enough for a try to open the line again, which is not answered either.
    await page.waitForTimeout(2500);
    await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'lost');
    expect(await told_after_ms(page, 'live', () => wire.mend())).toBeLessThan(AT_ONCE_MS);
    await expect(page.locator('.wheel-old')).toHaveCount(0);
  } finally {
    await wire.take_up();
  }
});

test('a tablet that comes back to a network looks at once', async ({ page, demo }) => {
  const wire = await Wire.lay(demo.address);
  try {
    await page.goto(wire.address);
    await ready(page);
    const lost_ms = await told_after_ms(page, 'lost', async () => {
      wire.cut();
      await page.evaluate(() => dispatchEvent(new Event('online')));
    });
    expect(lost_ms).toBeLessThan(AT_ONCE_MS);
    // Between two tries of its own it does not wait for the next.
    wire.mend();
    const live_ms = await told_after_ms(page, 'live', () => page.evaluate(() => document.dispatchEvent(new Event('visibilitychange'))));
    expect(live_ms).toBeLessThan(AT_ONCE_MS);
  } finally {
    await wire.take_up();
  }
});
