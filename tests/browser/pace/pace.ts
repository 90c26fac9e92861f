// How fast the page is there, how evenly it moves, and what it keeps: by the browser's own counters.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Browser, CDPSession, Page } from '@playwright/test';
import { WEB_UI } from '../gallery/build.ts';

/** Bytes of the built page, packed: all of it, and what is fetched before the first figure stands in English. */
export function weight(): { all: number; bundle: number; first: number; files: [string, number][] } {
  const dist = join(WEB_UI, 'dist');
  const names = (readdirSync(dist, { recursive: true, withFileTypes: true })).filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name));
  const files = names.map((name): [string, number] => [name.slice(dist.length + 1), gzipSync(readFileSync(name), { level: 9 }).length]).sort(([, a], [, b]) => b - a);
  const index = readFileSync(join(dist, 'index.html'), 'utf8');
  const sum = (some: readonly [string, number][]) => some.reduce((bytes, [, size]) => bytes + size, 0);
  return { all: sum(files), bundle: sum(files.filter(([name]) => /\.(js|css|html)$/.test(name))), first: sum(files.filter(([name]) => name === 'index.html' || (name.startsWith('assets/') && index.includes(name)))), files };
}

/** Milliseconds from asking for the page until a live figure was painted, with the processor slowed down. */
export async function until_figure_ms(browser: Browser, address: string, slower: number): Promise<number> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  try {
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    await session.send('Emulation.setCPUThrottlingRate', { rate: slower });
    await page.addInitScript(() => {
      const watch = () => {
        const figure = document.querySelector('.wheel .figure');
        if (figure === null || !/\d/.test(figure.textContent ?? '') || !document.fonts.check("600 100px 'hubplumb figures'")) requestAnimationFrame(watch);
        // A task after the frame that has the figure: then it has been painted.
        else setTimeout(() => ((window as unknown as { figure_ms: number }).figure_ms = performance.now()), 0);
      };
      requestAnimationFrame(watch);
    });
    await page.goto(address, { waitUntil: 'commit' });
    const figure_ms = await page.waitForFunction(() => (window as unknown as { figure_ms?: number }).figure_ms, undefined, { timeout: 30_000, polling: 100 });
    return Number(await figure_ms.jsonValue());
  } finally {
    await context.close();
  }
}

export interface Frames {
  count: number;
  p50_ms: number;
  p95_ms: number;
  p99_ms: number;
  /** Share of frames that took longer than 20 ms. */
  late: number;
  /** Share of the time in which the page's thread was busy. */
  busy: number;
}

async function counters(session: CDPSession): Promise<Map<string, number>> {
  const { metrics } = await session.send('Performance.getMetrics');
  return new Map(metrics.map(({ name, value }) => [name, value]));
}

/** Intervals between frames for so long. */
export async function frames(page: Page, for_s: number): Promise<Frames> {
  const session = await page.context().newCDPSession(page);
  await session.send('Performance.enable');
  const before = await counters(session);
  const intervals_ms = await page.evaluate(
    (span_ms) =>
      new Promise<number[]>((done) => {
        const intervals: number[] = [];
        let last = performance.now();
        const end = last + span_ms;
        const frame = (now: number) => {
          intervals.push(now - last);
          last = now;
          if (now < end) requestAnimationFrame(frame);
          else done(intervals.slice(2));
        };
        requestAnimationFrame(frame);
      }),
    for_s * 1000,
  );
  const after = await counters(session);
  const spent = (name: string) => (after.get(name) ?? 0) - (before.get(name) ?? 0);
  const sorted = intervals_ms.toSorted((a, b) => a - b);
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
  return { count: sorted.length, p50_ms: at(0.5), p95_ms: at(0.95), p99_ms: at(0.99), late: sorted.filter((one) => one > 20).length / sorted.length, busy: spent('TaskDuration') / spent('Timestamp') };
}

export interface Kept {
  at_s: number;
  heap_bytes: number;
  nodes: number;
  listeners: number;
}

/** What the page keeps after its litter was collected. */
export async function kept(session: CDPSession, at_s: number): Promise<Kept> {
  await session.send('HeapProfiler.collectGarbage');
  const { usedSize } = await session.send('Runtime.getHeapUsage');
  const now = await counters(session);
  return { at_s, heap_bytes: usedSize, nodes: now.get('Nodes') ?? Number.NaN, listeners: now.get('JSEventListeners') ?? Number.NaN };
}

/** What the page keeps, looked at every so often. */
export async function kept_over(page: Page, for_s: number, every_s: number): Promise<Kept[]> {
  const session = await page.context().newCDPSession(page);
  await session.send('Performance.enable');
  const looks: Kept[] = [];
  for (let at_s = 0; at_s <= for_s; at_s += every_s) {
    if (at_s > 0) await page.waitForTimeout(every_s * 1000);
    looks.push(await kept(session, at_s));
  }
  return looks;
}

/** Growth by the straight line of least squares, per minute. */
export function slope_per_min(looks: readonly Kept[], of: (look: Kept) => number): number {
  const n = looks.length;
  const mean = (value: (look: Kept) => number) => looks.reduce((sum, look) => sum + value(look), 0) / n;
  const [t, y] = [mean(({ at_s }) => at_s), mean(of)];
  const over = looks.reduce((sum, look) => sum + (look.at_s - t) * (of(look) - y), 0);
  const under = looks.reduce((sum, look) => sum + (look.at_s - t) ** 2, 0);
  return (60 * over) / under;
}
