import { test, expect } from '@playwright/test';
import { FourBoards } from './four-boards.ts';
import { open_line } from '../worksheet.ts';
test('cpu', async ({ browser }) => {
  const boards = await FourBoards.start();
  try {
    for (let n = 0; n < 4; n++) {
      const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
      const page = await context.newPage();
      const s = await context.newCDPSession(page);
      await s.send('Performance.enable', { timeDomain: 'threadTicks' });
      const get = async () => Object.fromEntries((await s.send('Performance.getMetrics')).metrics.map(({ name, value }) => [name, value])) as Record<string, number>;
      const a = await get();
      await page.goto(boards.address, { waitUntil: 'commit' });
      await page.locator('.wheel .figure').nth(3).waitFor();
      const b = await get();
      const d = (x: Record<string, number>, y: Record<string, number>) => ['TaskDuration', 'ScriptDuration', 'LayoutDuration', 'RecalcStyleDuration', 'LayoutCount', 'RecalcStyleCount'].map((k) => `${k} ${((y[k]! - x[k]!) * (k.endsWith('Count') ? 1 : 1000)).toFixed(1)}`).join(', ');
      console.log('start', d(a, b));
      await open_line(page, 'camber');
      await page.waitForTimeout(1000);
      const c = await get();
      const t0 = Date.now();
      await page.waitForTimeout(5000);
      const e = await get();
      console.log('5 s', Date.now() - t0, d(c, e));
      await context.close();
    }
  } finally { boards.stop(); }
});
