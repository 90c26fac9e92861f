// The page's figures on this machine, printed and written to docs/PAGE_FIGURES.md. MINUTES shortens the long one.
import { writeFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { fileURLToPath } from 'node:url';
import { expect, test } from '@playwright/test';
import { open_line } from '../worksheet.ts';
import { FourBoards } from './four-boards.ts';
import { frames, kept_over, slope_per_min, until_figure_ms, weight, type Frames } from './pace.ts';

const MINUTES = Number(process.env['MINUTES'] ?? '10');
const FRAMES_S = 30;
const TRIES = 7;
const kB = (bytes: number) => (bytes / 1000).toFixed(1);
const percent = (share: number) => `${(share * 100).toFixed(1)} %`;
const ms = (value_ms: number) => value_ms.toFixed(1);

test('figures of the page', async ({ browser }) => {
  const boards = await FourBoards.start();
  try {
    const load_before = loadavg()[0] ?? 0;
    const starts: Record<number, number[]> = {};
    for (const slower of [1, 4]) {
      starts[slower] = [];
      for (let nth = 0; nth < TRIES; nth += 1) starts[slower].push(await until_figure_ms(browser, boards.address, slower));
      starts[slower].sort((a, b) => a - b);
    }
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    await page.goto(boards.address);
    await open_line(page, 'camber');
    await expect(page.locator('.wheel .figure')).toHaveCount(4);
    const paces: [string, Frames][] = [['as it is', await frames(page, FRAMES_S)]];
    const session = await page.context().newCDPSession(page);
    await session.send('Emulation.setCPUThrottlingRate', { rate: 4 });
    paces.push(['slowed to a quarter', await frames(page, FRAMES_S)]);
    await session.send('Emulation.setCPUThrottlingRate', { rate: 1 });
    const blank = await browser.newPage();
    const empty = await frames(blank, 10);
    await blank.close();
    await page.waitForTimeout(20_000);
    const looks = await kept_over(page, MINUTES * 60, Math.max(6, MINUTES * 3));
    const { all, bundle, first, files } = weight();
    const [begin, end] = [looks[0], looks.at(-1)];
    const load_after = loadavg()[0] ?? 0;
    const line = (name: string, one: Frames) => `| ${name} | ${one.count} | ${ms(one.p50_ms)} | ${ms(one.p95_ms)} | ${ms(one.p99_ms)} | ${percent(one.late)} | ${percent(one.busy)} |`;
    const told = `# The page in figures

Written by \`npm run measure\` in tests/browser: the real program with four boards at 100 readings a second each, in headless
Chromium ${browser.version()} that draws without a graphics card, on ${cpus().length} processors (${cpus()[0]?.model.trim() ?? 'unknown'}) that had
${load_before.toFixed(1)} tasks waiting at the beginning and ${load_after.toFixed(1)} at the end; more than ${cpus().length} means that others were at work and
the times are too long. What may not get worse is held by tests/browser/specs/pace.spec.ts.

## Weight, packed

Scripts and styles with both languages ${kB(bundle)} kB; all of it, icons and figures too, ${kB(all)} kB; before the first figure ${kB(first)} kB.

| file | kB |
| --- | --- |
${files.map(([name, bytes]) => `| ${name.replace(/-[\w-]{8}\./, '-….')} | ${kB(bytes)} |`).join('\n')}

## Until a live figure is painted

| processor | quickest, ms | middle of ${TRIES}, ms | slowest, ms |
| --- | --- | --- | --- |
${Object.entries(starts).map(([slower, tries]) => `| ${slower === '1' ? 'as it is' : 'slowed to a quarter'} | ${ms(tries[0] ?? Number.NaN)} | ${ms(tries[Math.floor(TRIES / 2)] ?? Number.NaN)} | ${ms(tries.at(-1) ?? Number.NaN)} |`).join('\n')}

## Frames, with four live figures

| processor | frames | p50, ms | p95, ms | p99, ms | over 20 ms | thread busy |
| --- | --- | --- | --- | --- | --- | --- |
${paces.map(([name, one]) => line(name, one)).join('\n')}
${line('an empty page, for comparison', empty)}

## What is kept

Over ${MINUTES} minutes, after collecting what is no longer used.

| | at the beginning | at the end | growth per minute |
| --- | --- | --- | --- |
| heap, kB | ${kB(begin?.heap_bytes ?? Number.NaN)} | ${kB(end?.heap_bytes ?? Number.NaN)} | ${kB(slope_per_min(looks, ({ heap_bytes }) => heap_bytes))} |
| nodes | ${begin?.nodes} | ${end?.nodes} | ${slope_per_min(looks, ({ nodes }) => nodes).toFixed(2)} |
| listeners | ${begin?.listeners} | ${end?.listeners} | ${slope_per_min(looks, ({ listeners }) => listeners).toFixed(2)} |
`;
    console.log(told);
    writeFileSync(fileURLToPath(new URL('../../../docs/PAGE_FIGURES.md', import.meta.url)), told);
    expect(begin?.heap_bytes).toBeGreaterThan(0);
  } finally {
    boards.stop();
  }
});
