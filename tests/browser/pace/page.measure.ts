// The page's figures on this machine, printed and written to docs/PAGE_FIGURES.md, each part by itself:
// `npm run measure -- -g times`. MINUTES shortens the long one.
import { readFileSync, writeFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { fileURLToPath } from 'node:url';
import { expect, test, type Browser, type Page } from '@playwright/test';
import { open_line } from '../worksheet.ts';
import { BareNumber } from './bare-number.ts';
import { FourBoards } from './four-boards.ts';
import { frames, kept_over, slope_per_min, until_figure_ms, weight, type Frames } from './pace.ts';

const MINUTES = Number(process.env['MINUTES'] ?? '10');
const FRAMES_S = 20;
const TRIES = 9;
const TOLD = fileURLToPath(new URL('../../../docs/PAGE_FIGURES.md', import.meta.url));
const kB = (bytes: number) => (bytes / 1000).toFixed(1);
const percent = (share: number) => `${(share * 100).toFixed(1)} %`;
const ms = (value_ms: number) => value_ms.toFixed(1);

/** Puts a part of the document in the place of the one before it. */
function put(part: string, text: string): void {
  console.log(text);
  const before = readFileSync(TOLD, 'utf8');
  const [begin, end] = [`<!-- ${part} -->\n`, `<!-- end of ${part} -->\n`];
  const [from, to] = [before.indexOf(begin), before.indexOf(end)];
  if (from < 0 || to < from) throw new Error(`no part ${part} in ${TOLD}`);
  writeFileSync(TOLD, `${before.slice(0, from + begin.length)}${text.trim()}\n${before.slice(to)}`);
}

const load = () => loadavg()[0] ?? Number.NaN;
/** How busy the machine was: times of a busy one are too long. */
const busy = (browser: Browser, before: number) =>
  `Chromium ${browser.version()}, ${cpus().length} processors (${cpus()[0]?.model.trim() ?? 'unknown'}); tasks waiting (mean of a minute): ${before.toFixed(1)} at the beginning, ${load().toFixed(1)} at the end.`;

async function live(page: Page, boards: FourBoards): Promise<void> {
  await page.goto(boards.address);
  await open_line(page, 'camber');
  await expect(page.locator('.wheel .figure')).toHaveCount(4);
}

test('weight', () => {
  const { all, bundle, first, files } = weight();
  expect(first).toBeGreaterThan(0);
  put(
    'weight',
    `
Scripts and styles with both languages ${kB(bundle)} kB; all of it, icons and figures too, ${kB(all)} kB; before the first figure ${kB(first)} kB.

| file | kB |
| --- | --- |
${files.map(([name, bytes]) => `| ${name.replace(/-[\w-]{8}\./, '-….')} | ${kB(bytes)} |`).join('\n')}`,
  );
});

test('times', async ({ browser }) => {
  const boards = await FourBoards.start();
  const number = await BareNumber.start();
  try {
    const before = load();
    const starts: { of: string; tries: number[] }[] = [];
    for (const slower of [1, 4]) {
      const at = slower === 1 ? 'as it is' : 'slowed to a quarter';
      const [page, bare] = [{ of: at, tries: [] as number[] }, { of: `${at}, a page of one number and no script`, tries: [] as number[] }];
      // In turns, so that what else the machine does meets both alike.
      for (let nth = 0; nth < TRIES; nth += 1) {
        page.tries.push(await until_figure_ms(browser, boards.address, slower));
        bare.tries.push(await until_figure_ms(browser, number.address, slower));
      }
      starts.push(page, bare);
    }
    for (const { tries } of starts) tries.sort((a, b) => a - b);
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    await live(page, boards);
    const paces: [string, Frames][] = [['as it is', await frames(page, FRAMES_S)]];
    const session = await page.context().newCDPSession(page);
    await session.send('Emulation.setCPUThrottlingRate', { rate: 4 });
    paces.push(['slowed to a quarter', await frames(page, FRAMES_S)]);
    await page.close();
    const blank = await browser.newPage();
    paces.push(['an empty page, for comparison', await frames(blank, FRAMES_S / 2)]);
    await blank.close();
    put(
      'times',
      `
${busy(browser, before)}

Milliseconds from asking for the page until a live figure is painted:

| processor | quickest | middle of ${TRIES} | slowest |
| --- | --- | --- | --- |
${starts.map(({ of, tries }) => `| ${of} | ${ms(tries[0] ?? Number.NaN)} | ${ms(tries[Math.floor(TRIES / 2)] ?? Number.NaN)} | ${ms(tries.at(-1) ?? Number.NaN)} |`).join('\n')}

Frames, with four live figures:

| processor | frames | p50, ms | p95, ms | p99, ms | over 20 ms | thread busy |
| --- | --- | --- | --- | --- | --- | --- |
${paces.map(([name, one]) => `| ${name} | ${one.count} | ${ms(one.p50_ms)} | ${ms(one.p95_ms)} | ${ms(one.p99_ms)} | ${percent(one.late)} | ${percent(one.busy)} |`).join('\n')}`,
    );
  } finally {
    boards.stop();
    number.stop();
  }
});

test('what is kept', async ({ browser }) => {
  const boards = await FourBoards.start();
  try {
    const before = load();
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    await live(page, boards);
    await page.waitForTimeout(20_000);
    const looks = await kept_over(page, MINUTES * 60, Math.max(6, MINUTES * 3));
    const [begin, end] = [looks[0], looks.at(-1)];
    expect(begin?.heap_bytes).toBeGreaterThan(0);
    put(
      'kept',
      `
${busy(browser, before)}

Over ${MINUTES} minutes, after collecting what is no longer used:

| | at the beginning | at the end | growth per minute |
| --- | --- | --- | --- |
| heap, kB | ${kB(begin?.heap_bytes ?? Number.NaN)} | ${kB(end?.heap_bytes ?? Number.NaN)} | ${kB(slope_per_min(looks, ({ heap_bytes }) => heap_bytes))} |
| nodes | ${begin?.nodes} | ${end?.nodes} | ${slope_per_min(looks, ({ nodes }) => nodes).toFixed(2)} |
| listeners | ${begin?.listeners} | ${end?.listeners} | ${slope_per_min(looks, ({ listeners }) => listeners).toFixed(2)} |`,
    );
  } finally {
    boards.stop();
  }
});
