import { chromium } from '@playwright/test';

const base = 'http://127.0.0.1:5199';
const [, , which = 'all'] = process.argv;
const browser = await chromium.launch({ executablePath: (await import('fs')).existsSync('/usr/bin/chromium')?'/usr/bin/chromium':'/usr/bin/chromium-browser', args: ['--no-sandbox', '--disable-gpu'] });
const jobs = [
  ['visit', 'visit_before', async (p) => p.getByTestId('line-visit').locator('.line-title').click()],
  ['prepare', 'visit_preparing', async () => {}],
  ['table', 'visit_after', async (p) => p.getByTestId('line-table').locator('.line-title').click()],
  ['meaning', 'visit_before', async (p) => p.getByTestId('line-meaning').locator('.line-title').click()],
  ['adjust', 'visit_adjusting', async () => {}],
  ['work', 'visit_adjusting', async (p) => p.getByTestId('step-open-camber-front_right').click()],
  ['worktoe', 'visit_adjusting', async (p) => p.getByTestId('step-open-total_toe-front').click()],
  ['moved', 'visit_adjusting', async (p) => { await p.getByTestId('step-open-camber-front_right').click(); await p.getByTestId('work-moved').click(); }],
  ['figures', 'visit_before', async (p) => p.getByTestId('line-figures').locator('.line-title').click()],
  ['spot', 'visit_before', async (p) => { await p.getByTestId('line-figures').locator('.line-title').click(); await p.getByTestId('figures-way-spot').click(); }],
  ['setback', 'visit_before', async (p) => { await p.getByTestId('line-figures').locator('.line-title').click(); await p.getByTestId('figures-way-setback').click(); }],
  ['car', 'visit_before', async (p) => { await p.getByTestId('line-visit').locator('.line-title').click(); await p.getByTestId('car-1-change').click(); }],
  ['import', 'visit_before', async (p) => { await p.getByTestId('line-visit').locator('.line-title').click(); await p.getByTestId('car-import').click(); }],
  ['closed', 'visit_closed', async () => {}],
];
for (const [name, scene, act] of jobs) {
  if (which !== 'all' && !which.split(',').includes(name)) continue;
  for (const [w, h] of [[1280, 800], [800, 1280]]) {
    const page = await browser.newPage({ viewport: { width: w, height: h } });
    await fetch(`${base}/dev/scene/${scene}`, { method: 'POST' });
    await page.goto(base);
    await page.getByTestId('line-visit').waitFor();
    await page.waitForTimeout(600);
    try { await act(page); } catch (e) { console.log(name, String(e).slice(0, 200)); }
    await page.waitForTimeout(300);
    await page.screenshot({ path: `/tmp/page-shots/${name}-${w}.png`, fullPage: which !== 'all' && process.argv[3] === 'full' });
    const [c, s] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    if (c > s) console.log(name, w, 'scrolls sideways', c, s);
    await page.close();
  }
}
await browser.close();
