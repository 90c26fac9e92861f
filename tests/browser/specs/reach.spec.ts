// Bringing in another tablet: what the panel says, and that a camera can read what it draws.
import { readFileSync } from 'node:fs';
import type { Locator, Page } from '@playwright/test';
import jsqr from 'jsqr';
import { Demo, expect, test } from '../demo.ts';
import { too_small } from '../touch.ts';
import { ready } from '../worksheet.ts';

/** Ways in as the daemon tells them on a garage's network; a test of the daemon holds it to this file. */
const ON_A_NETWORK = readFileSync(new URL('../../../daemon/service/src/http/golden/reach.json', import.meta.url), 'utf8');

/** What another library reads in what the browser has drawn. */
async function decoded(page: Page, drawn: Locator): Promise<string | undefined> {
  const png = (await drawn.screenshot()).toString('base64');
  const { pixels, width, height } = await page.evaluate(async (png) => {
    const image = await createImageBitmap(await (await fetch(`data:image/png;base64,${png}`)).blob());
    const pen = Object.assign(document.createElement('canvas'), { width: image.width, height: image.height }).getContext('2d')!;
    pen.drawImage(image, 0, 0);
    return { pixels: Array.from(pen.getImageData(0, 0, image.width, image.height).data), width: image.width, height: image.height };
  }, png);
  return jsqr.default(Uint8ClampedArray.from(pixels), width, height)?.data;
}

async function on_a_network(page: Page, demo: Demo): Promise<void> {
  await page.route('**/api/v1/reach', (route) => route.fulfill({ contentType: 'application/json', body: ON_A_NETWORK }));
  await page.goto(demo.address);
  await ready(page);
  await page.getByTestId('reach-open').click();
}

for (const scheme of ['light', 'dark'] as const) {
  test(`the code is read as the address that stands beside it, on ${scheme} paper`, async ({ page, demo, context }) => {
    await page.emulateMedia({ colorScheme: scheme });
    await on_a_network(page, demo);
    const url = await page.getByTestId('reach-url').textContent();
    expect(url?.trim()).toBe('https://192.168.4.20:8710/');
    // Decoded on an empty page: ours lets nothing be fetched that is not its own.
    expect(await decoded(await context.newPage(), page.getByTestId('reach-code'))).toBe(url?.trim());
    await page.screenshot({ path: test.info().outputPath('reach.png') });
  });
}

test('the code is large, everything can be hit, and nothing has to be scrolled sideways', async ({ page, demo }) => {
  for (const [width, height] of [
    [1280, 800],
    [800, 1280],
  ] as const) {
    await page.setViewportSize({ width, height });
    await on_a_network(page, demo);
    const box = (await page.getByTestId('reach-code').boundingBox())!;
    expect(box.width).toBeGreaterThan(400);
    // The whole code is on the screen without scrolling.
    expect(box.y + box.height).toBeLessThan(height);
    expect(await too_small(page)).toEqual([]);
    const [content_px, shown_px] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    expect(content_px).toBeLessThanOrEqual(shown_px!);
    await page.screenshot({ path: test.info().outputPath(`reach-${width}.png`), fullPage: true });
    await page.getByTestId('reach-close').click();
    await expect(page.getByTestId('reach')).toHaveCount(0);
  }
});

test('where only this machine can open the page, it says how a tablet is let in', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  await page.getByTestId('reach-open').click();
  await expect(page.getByTestId('reach-local')).toContainText(`--listen 0.0.0.0:${new URL(demo.address).port}`);
  await expect(page.getByTestId('reach-code')).toHaveCount(0);
  await expect(page.getByTestId('reach-awake')).toHaveAttribute('data-state', 'yes');
});

test('over plain HTTP from elsewhere the panel says what the browser forbids', async ({ browser, demo }) => {
  // A name that is no secure context, led to this machine.
  const context = await browser.newContext({ baseURL: demo.address });
  const page = await context.newPage();
  try {
    await page.addInitScript(() => {
      Object.defineProperty(globalThis, 'isSecureContext', { value: false });
      Reflect.deleteProperty(Navigator.prototype, 'wakeLock');
    });
    await page.goto('/');
    await ready(page);
    await page.getByTestId('reach-open').click();
    await expect(page.getByTestId('reach-kept')).toHaveAttribute('data-state', 'insecure');
    await expect(page.getByTestId('reach-kept')).toContainText('--https');
    await expect(page.getByTestId('reach-awake')).toHaveAttribute('data-state', 'no');
  } finally {
    await context.close();
  }
});

test('over HTTPS the page is live and shows the fingerprint that the terminal printed; plain HTTP leads there', async ({ browser }) => {
  const demo = await Demo.start(['--https']);
  // The certificate is not trusted here: as after going on past the browser's warning.
  const context = await browser.newContext({ ignoreHTTPSErrors: true });
  try {
    expect(demo.address).toMatch(/^https:/);
    const page = await context.newPage();
    await page.goto(demo.address.replace('https:', 'http:'));
    await expect(page.locator('h1').first()).toContainText('behind HTTPS');
    const printed = /what to trust\s+([0-9A-F:]{95})/.exec(demo.printed())?.[1];
    await expect(page.locator('code').first()).toHaveText(printed!);
    await page.locator(`a[href="${demo.address}/"]`).first().click();
    await ready(page);
    expect(await page.evaluate(() => isSecureContext)).toBe(true);
    await page.getByTestId('reach-open').click();
    await expect(page.getByTestId('reach-certificate')).toContainText(printed!);
    const [download] = await Promise.all([page.waitForEvent('download'), page.locator('.reach-get').click()]);
    // The browser may write the ending as it likes for this kind of file.
    expect(download.suggestedFilename()).toMatch(/^hubplumb\.(crt|cer)$/);
  } finally {
    await context.close();
    await demo.kill();
  }
});
