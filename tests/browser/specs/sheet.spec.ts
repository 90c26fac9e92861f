// The sheet of a visit, laid out and printed by a real browser.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { expect, test } from '@playwright/test';
import { program } from '../demo.ts';
import { cut_rows, page_sizes_pt, rows_in } from '../pdf.ts';

const VISITS = fileURLToPath(new URL('../../visits/two_visits.json', import.meta.url));

let folder = '';
test.beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'sheet-'));
  execFileSync(program(), ['visits', 'import', VISITS, '--store', folder]);
});
test.afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Writes the sheet and gives its address. */
function sheet(paper: string, ...more: string[]): string {
  const file = join(folder, `${paper}.html`);
  execFileSync(program(), ['sheet', '2', '--paper', paper, '--out', file, '--store', folder, ...more]);
  return pathToFileURL(file).href;
}

// ISO 216: 210 × 297 mm; ANSI/ASME Y14.1: 8.5 × 11 in. A point is 1/72 in.
for (const [paper, width_pt, height_pt] of [['a4', 595.3, 841.9], ['letter', 612, 792]] as const) {
  test(`on ${paper} no row is cut and every page is of that paper`, async ({ page }) => {
    await page.goto(sheet(paper));
    const pdf = await page.pdf({ preferCSSPageSize: true, tagged: true });
    const sizes = page_sizes_pt(pdf);
    expect(sizes.length).toBeGreaterThanOrEqual(3);
    expect(sizes.length).toBeLessThanOrEqual(8);
    for (const [width, height] of sizes) {
      expect(Math.abs(width - width_pt)).toBeLessThan(1);
      expect(Math.abs(height - height_pt)).toBeLessThan(1);
    }
    const rows = await page.locator('tr').count();
    expect(rows_in(pdf)).toBeGreaterThanOrEqual(rows);
    expect(cut_rows(pdf)).toBe(0);
  });
}

test('a row that is cut would be found', async ({ page }) => {
  const cells = Array.from({ length: 400 }, (_, line) => `line ${line}`).join('<br>');
  await page.setContent(`<table><thead><tr><th>What</th></tr></thead><tbody><tr><td>${cells}</td></tr><tr><td>whole</td></tr></tbody></table>`);
  const pdf = await page.pdf({ tagged: true });
  expect(rows_in(pdf)).toBe(3);
  expect(cut_rows(pdf)).toBe(1);
});

test('on paper everything is there, and nothing is wider than the page', async ({ page }) => {
  const asked: string[] = [];
  page.on('request', (request) => asked.push(request.url()));
  const address = sheet('a4', '--minutes');
  await page.goto(address);
  await page.emulateMedia({ media: 'print' });
  // A4 less the margins, in CSS pixels of 1/96 in.
  await page.setViewportSize({ width: Math.round(((210 - 28) / 25.4) * 96), height: 1000 });
  const main = page.locator('main');
  for (const text of ['Wicket 1300', 'Findings before and after', '−1° 19′', '± 4′', 'not measured', 'taken back', 'Against the plumb line', 'This car over its visits', 'To heed']) {
    await expect(main).toContainText(text);
  }
  await expect(page.locator('svg.plumb')).toHaveCount(6);
  // What a person wrote stays text.
  await expect(main).toContainText('<b>not markup</b>');
  const { wide, room } = await page.evaluate(() => ({ wide: document.documentElement.scrollWidth, room: window.innerWidth }));
  expect(wide).toBeLessThanOrEqual(room);
  const overlong = await page.locator('td, th, figcaption, h2').evaluateAll((cells) => cells.filter((cell) => cell.scrollWidth > cell.clientWidth + 1).map((cell) => cell.textContent));
  expect(overlong).toEqual([]);
  for (const selector of ['tr', 'figure', 'tbody.finding']) {
    const breaks = await page.locator(selector).evaluateAll((parts) => parts.map((part) => getComputedStyle(part).breakInside));
    expect(new Set(breaks)).toEqual(new Set(['avoid']));
  }
  // It asks for nothing but itself.
  expect(asked).toEqual([address]);
});
