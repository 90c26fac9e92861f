// The page that the browser keeps: it opens without the daemon and says so, and a new one replaces it.
// Over localhost, which is a secure context (W3C Secure Contexts).
import type { Page } from '@playwright/test';
import { Builds } from '../builds.ts';
import { Demo, expect, test } from '../demo.ts';
import { ready } from '../worksheet.ts';

/** Waits until the browser keeps the page and serves it by its worker. */
async function kept(page: Page): Promise<void> {
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    if (navigator.serviceWorker.controller === null) {
      await new Promise((taken) => navigator.serviceWorker.addEventListener('controllerchange', taken, { once: true }));
    }
  });
}

const caches_of = (page: Page): Promise<string[]> => page.evaluate(() => caches.keys());
const build_of = (page: Page): Promise<string | null> => page.locator('meta[name=build]').getAttribute('content');

test('the kept page opens without the daemon, shows no value, and is live again by itself', async ({ page }) => {
  const first = await Demo.start();
  let second: Demo | undefined;
  try {
    await page.goto(first.address);
    await ready(page);
    await kept(page);
    await page.getByTestId('reach-open').click();
    await expect(page.getByTestId('reach-kept')).toHaveAttribute('data-state', 'kept');
    await first.kill();
    await page.reload();
    await expect(page.getByTestId('alone')).toContainText('No connection');
    await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'lost');
    await expect(page.locator('.figure')).toHaveCount(0);
    await expect(page.locator('[data-testid^=camber-]')).toHaveCount(0);
    await page.screenshot({ path: test.info().outputPath('alone.png') });
    second = await Demo.start([], 'demo', first.listen);
    await ready(page);
    await expect(page.getByTestId('alone')).toHaveCount(0);
  } finally {
    await first.kill();
    await second?.kill();
  }
});

test('nothing but the page itself is kept', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  await kept(page);
  // Asked for through the worker, all of it, before it is looked what was kept.
  await page.evaluate(() => Promise.all(['api/v1/state', 'api/v1/reach', 'api/v1/cars', 'api/v1/visits'].map((path) => fetch(path))));
  const paths = await page.evaluate(async () => {
    const found: string[] = [];
    for (const name of await caches.keys()) {
      for (const request of await (await caches.open(name)).keys()) found.push(new URL(request.url).pathname);
    }
    return found;
  });
  expect(paths).toContain('/');
  expect(paths.filter((path) => !/^\/($|assets\/|[\w-]+\.(svg|png|webmanifest)$)/.test(path))).toEqual([]);
});

test('a page of a new build replaces the kept one', async ({ page, demo }) => {
  const builds = await Builds.of(demo.address);
  try {
    await page.goto(builds.address);
    await ready(page);
    await kept(page);
    expect(await build_of(page)).toBe('first');
    expect(await caches_of(page)).toEqual(['hubplumb-page-first']);
    builds.build = 'second';
    await page.reload();
    // The daemon is there, so it is its page that is shown, and kept from now on.
    expect(await build_of(page)).toBe('second');
    await expect.poll(() => caches_of(page)).toEqual(['hubplumb-page-second']);
    await builds.close();
    await page.reload();
    await expect(page.getByTestId('alone')).toBeVisible();
    expect(await build_of(page)).toBe('second');
  } finally {
    await builds.close().catch(() => undefined);
  }
});

test('a page that is open while the daemon gets a new build offers it, and one that opened alone takes it', async ({ page, demo }) => {
  const builds = await Builds.of(demo.address);
  try {
    await page.goto(builds.address);
    await ready(page);
    await kept(page);
    builds.build = 'second';
    await builds.restart();
    await expect(page.getByTestId('newer')).toBeVisible({ timeout: 20_000 });
    expect(await build_of(page)).toBe('first');
    await page.getByTestId('newer').click();
    await ready(page);
    expect(await build_of(page)).toBe('second');
    await builds.close();
    await page.reload();
    await expect(page.getByTestId('alone')).toBeVisible();
    builds.build = 'third';
    await builds.open();
    await expect.poll(() => build_of(page), { timeout: 20_000 }).toBe('third');
  } finally {
    await builds.close().catch(() => undefined);
  }
});

test('what the browser needs to install the page is there', async ({ page, demo }) => {
  await page.goto(demo.address);
  const manifest = await page.evaluate(async () => {
    const link = document.querySelector<HTMLLinkElement>('link[rel=manifest]')!;
    return (await (await fetch(link.href)).json()) as { name: string; display: string; icons: { src: string; sizes: string; type: string; purpose: string }[] };
  });
  expect(manifest).toMatchObject({ name: 'hubplumb', display: 'standalone' });
  for (const sizes of ['192x192', '512x512']) {
    for (const purpose of ['any', 'maskable']) {
      const icon = manifest.icons.find((one) => one.sizes === sizes && one.purpose === purpose && one.type === 'image/png');
      const size = await page.evaluate(async (src) => {
        const image = new Image();
        image.src = src;
        await image.decode();
        return `${image.naturalWidth}x${image.naturalHeight}`;
      }, icon!.src);
      expect(size).toBe(sizes);
    }
  }
});
