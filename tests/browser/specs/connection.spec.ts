// What is on the screen when the program behind it is gone must not pass for fresh.
import { Demo, expect, test } from '../demo.ts';
import { open_line, ready } from '../worksheet.ts';

test('a lost connection is said in words while the old value is marked as old', async ({ page }) => {
  const demo = await Demo.start();
  try {
    await page.goto(demo.address);
    await ready(page);
    await open_line(page, 'camber');
    await expect(page.locator('.wheel-old')).toHaveCount(0);
    await demo.kill();
    const connection = page.getByTestId('connection');
    await expect(connection).toHaveAttribute('data-link', 'lost');
    await expect(connection).toContainText('connection lost');
    await expect(page.locator('.wheel-old').first()).toBeVisible();
  } finally {
    await demo.kill();
  }
});
