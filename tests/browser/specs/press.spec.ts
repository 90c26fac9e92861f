// A press whose answer is lost is neither lost nor doubled.
import type { Page, Route } from '@playwright/test';
import { Demo, expect, test } from '../demo.ts';
import { open_line, ready } from '../worksheet.ts';

/** What is done with one try: the daemon gets it or not, the page hears of it or not. */
type Fate = 'arrives' | 'request lost' | 'answer lost';

interface Tried {
  key: string;
  status: number | null;
}

/** Loses requests and answers of the commands at an address in this order; what comes after arrives. */
async function lose(page: Page, path: string, fates: readonly Fate[]): Promise<Tried[]> {
  const tried: Tried[] = [];
  await page.route(`**/${path}`, async (route: Route) => {
    if (route.request().method() !== 'POST') return route.fallback();
    const fate = fates[tried.length] ?? 'arrives';
    const key = route.request().headers()['idempotency-key'] ?? '';
    if (fate === 'request lost') {
      tried.push({ key, status: null });
      return route.abort('connectionreset');
    }
    // Counted before it is sent, so that the next try has the next fate.
    const one: Tried = { key, status: null };
    tried.push(one);
    const response = await route.fetch();
    one.status = response.status();
    return fate === 'answer lost' ? route.abort('connectionreset') : route.fulfill({ response });
  });
  return tried;
}

async function import_car(page: Page): Promise<void> {
  await open_line(page, 'visit');
  await page.getByTestId('car-import').click();
  await page.getByTestId('car-import-text').fill('name = "Wicket"');
  await page.getByTestId('car-import-take').click();
}

async function cars(demo: Demo): Promise<string[]> {
  const told = (await (await fetch(`${demo.address}/api/v1/cars`)).json()) as { record: { name: string } }[];
  return told.map(({ record }) => record.name);
}

async function with_demo(page: Page, act: (demo: Demo) => Promise<void>): Promise<void> {
  const demo = await Demo.start();
  try {
    await demo.give_up_first_swing();
    await page.goto(demo.address);
    await ready(page);
    await act(demo);
  } finally {
    await demo.kill();
  }
}

test('a connection cut after the daemon did what was asked doubles nothing', async ({ page }) => {
  await with_demo(page, async (demo) => {
    const tried = await lose(page, 'api/v1/cars/import', ['answer lost', 'request lost', 'answer lost']);
    await import_car(page);
    await expect(page.locator('[data-name="Wicket"]')).toHaveCount(1);
    expect(await cars(demo)).toEqual(['Wicket']);
    // The same press each time, and the same answer to it.
    expect(tried.map(({ status }) => status)).toEqual([201, null, 201, 201]);
    expect(new Set(tried.map(({ key }) => key)).size).toBe(1);
    expect(tried[0]!.key).toMatch(/^"[0-9a-f-]{32,}"$/);
    await expect(page.getByTestId('again')).toHaveCount(0);
  });
});

test('two presses are two, each with a key of its own', async ({ page }) => {
  await with_demo(page, async (demo) => {
    const tried = await lose(page, 'api/v1/cars/import', ['answer lost']);
    await import_car(page);
    await expect(page.locator('[data-name="Wicket"]')).toHaveCount(1);
    await import_car(page);
    await expect(page.locator('[data-name="Wicket"]')).toHaveCount(2);
    expect(await cars(demo)).toEqual(['Wicket', 'Wicket']);
    expect(new Set(tried.map(({ key }) => key)).size).toBe(2);
  });
});

test('a press that is sent again says so on its button, and a swing is started once', async ({ page }) => {
  await with_demo(page, async (demo) => {
    const before = (await demo.state()).swing.run;
    await lose(page, 'api/v1/swing', ['answer lost', 'request lost', 'request lost']);
    await open_line(page, 'swing');
    const start = page.getByTestId('swing-start').first();
    await start.click();
    await expect(page.getByTestId('again')).toBeVisible();
    await expect(page.getByTestId('again')).toHaveCount(0);
    // A second start would have been refused: one is running.
    await expect(page.getByTestId('problem')).toHaveCount(0);
    expect((await demo.state()).swing.run).toBe(before + 1);
  });
});

test('a press that is never answered is not said to have failed, and the button is free again', async ({ page }) => {
  await with_demo(page, async (demo) => {
    const before = (await demo.state()).swing.run;
    const tried = await lose(page, 'api/v1/swing', Array<Fate>(30).fill('request lost'));
    await open_line(page, 'swing');
    const start = page.getByTestId('swing-start').first();
    await start.click();
    await expect(start).toHaveAttribute('data-again', /sending again/);
    await page.screenshot({ path: test.info().outputPath('sending-again.png') });
    const problem = page.getByTestId('problem');
    await expect(problem).toHaveAttribute('data-code', 'not_known', { timeout: 20_000 });
    await expect(problem).toContainText('Not known whether it arrived');
    await expect(start).not.toHaveAttribute('data-again');
    await expect(start).toBeEnabled();
    expect(tried.length).toBeGreaterThan(4);
    expect((await demo.state()).swing.run).toBe(before);
  });
});

test('a press meant for a daemon that was started anew is not done by the next one', async ({ page }) => {
  const folder = test.info().outputPath('store');
  const first = await Demo.start(['--store', folder]);
  let second: Demo | undefined;
  try {
    await first.give_up_first_swing();
    await page.goto(first.address);
    await ready(page);
    await open_line(page, 'visit');
    await page.getByTestId('car-import').click();
    await page.getByTestId('car-import-text').fill('name = "Wicket"');
    // The daemon does it, its answer is lost, and it is gone before it is asked again.
    let tries = 0;
    await page.route('**/api/v1/cars/import', async (route) => {
      tries += 1;
      if (tries > 1) return route.continue();
      await route.fetch();
      await first.kill();
      second = await Demo.start(['--store', folder], 'demo', first.listen);
      return route.abort('connectionreset');
    });
    await page.getByTestId('car-import-take').click();
    await expect(page.getByTestId('refusal-import')).toHaveAttribute('data-code', 'started_anew', { timeout: 30_000 });
    expect(await cars(second!)).toEqual(['Wicket']);
  } finally {
    await first.kill();
    await second?.kill();
  }
});
