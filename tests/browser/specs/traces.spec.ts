// Pictures of what is measured as it comes: strips of every angle, and the swing as it is made.
import { listening, TcpBoard } from '../boards.ts';
import { Demo, expect, test } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';
import { too_small } from '../touch.ts';
import { open_line, ready } from '../worksheet.ts';

const WATCH_S = 10;
const DONE_MS = 150_000;

test('strips are open, drawn once a frame, held on demand, and put away with their line', async ({ page, demo, complaints }) => {
  // The page is asked for what draws them only once they are opened.
  const fetched: string[] = [];
  page.on('request', (request) => fetched.push(new URL(request.url()).pathname));
  await page.goto(demo.address);
  await ready(page);
  expect(fetched.filter((path) => /traces/.test(path))).toEqual([]);
  await open_line(page, 'traces');
  const traces = page.getByTestId('traces');
  await expect(traces).toHaveAttribute('data-following', 'true');
  for (const mount of ['front_left', 'front_right'])
    for (const which of ['lean', 'pitch']) {
      const strip = page.getByTestId(`trace-${mount}-${which}`);
      await expect(strip.locator('canvas')).toBeVisible();
      // The numbers stand beside the picture and in it for who cannot see it.
      await expect(strip).toContainText(/[+−]?\d+\.\d\d° ± \d+\.\d\d°/);
      await expect(strip.locator('canvas')).toHaveAttribute('aria-label', /±.*between/);
    }
  expect(await too_small(page)).toEqual([]);
  const [content_px, shown_px] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
  expect(content_px).toBeLessThanOrEqual(shown_px!);

  await page.getByTestId('traces-hold').click();
  await page.waitForTimeout(600);
  const held = await traces.getAttribute('data-drawings');
  await page.waitForTimeout(1500);
  expect(await traces.getAttribute('data-drawings'), 'a picture that is held is not drawn anew').toBe(held);
  await page.getByTestId('traces-hold').click();
  await expect.poll(async () => Number(await traces.getAttribute('data-drawings'))).toBeGreaterThan(Number(held));

  await open_line(page, 'camber');
  await expect(traces).toHaveCount(0);
  expect(complaints).toEqual([]);
});

/** Frames that the screen has, and those in which the strips were drawn, over some seconds. */
async function frames(page: import('@playwright/test').Page): Promise<{ screen_hz: number; drawn_hz: number }> {
  return page.evaluate(
    (long_s) =>
      new Promise((told) => {
        const drawn = (): number => Number(document.querySelector<HTMLElement>('[data-testid=traces]')?.dataset['drawings']);
        const began = performance.now();
        const drawnBefore = drawn();
        let count = 0;
        const next = (): void => {
          count += 1;
          const past_s = (performance.now() - began) / 1000;
          if (past_s < long_s) requestAnimationFrame(next);
          // What was drawn is told four times a second.
          else setTimeout(() => told({ screen_hz: count / past_s, drawn_hz: (drawn() - drawnBefore) / ((performance.now() - began) / 1000) }), 260);
        };
        requestAnimationFrame(next);
      }),
    WATCH_S,
  );
}

const WHEELS = ['front_left', 'front_right', 'rear_left', 'rear_right'];

test('strips of four boards at 100 Hz keep up with the screen, and a board that goes away leaves a gap', async ({ page, complaints }) => {
  const boards = await Promise.all(WHEELS.map((mount) => TcpBoard.open(mount)));
  const daemon = await Demo.start(listening(boards), 'run');
  try {
    await page.goto(daemon.address);
    await ready(page);
    await open_line(page, 'traces');
    for (const mount of WHEELS) await expect(page.getByTestId(`trace-${mount}-lean`)).toContainText(/±/);
    await page.waitForTimeout(2000);
    const { screen_hz, drawn_hz } = await frames(page);
    console.log(`screen ${screen_hz.toFixed(1)} frames/s, strips drawn ${drawn_hz.toFixed(1)} times a second`);
    // Each frame that the screen had is drawn, but for those at the edges of what was counted.
    expect(drawn_hz).toBeGreaterThan(0.9 * screen_hz);

    const gone = page.getByTestId('trace-rear_right-lean');
    const stays = page.getByTestId('trace-rear_left-lean');
    const length = async (): Promise<number> => Number(await stays.getAttribute('data-length'));
    const [before, began] = [await length(), Date.now()];
    await page.waitForTimeout(5000);
    const rate_hz = (1000 * ((await length()) - before)) / (Date.now() - began);
    console.log(`${rate_hz.toFixed(1)} readings a second of a board`);
    expect(rate_hz, 'every reading comes').toBeGreaterThan(95);
    expect(rate_hz).toBeLessThan(105);

    await expect(gone).toHaveAttribute('data-gaps', '0');
    await boards[3]!.cut();
    await expect(gone).toContainText('board gone');
    await expect(gone).toHaveAttribute('data-gaps', '1');
    await expect(gone.locator('canvas')).toHaveAttribute('aria-label', /board gone.*one gap/);
    await page.waitForTimeout(3000);
    // The gap is hatched in ink of its own; a strip without one has none of it.
    const hatched = (strip: typeof gone): Promise<number> =>
      strip.locator('canvas').evaluate((canvas: HTMLCanvasElement) => {
        const ochre = getComputedStyle(canvas).getPropertyValue('--ochre').trim();
        const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => Number.parseInt(ochre.slice(at, at + 2), 16));
        const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
        let count = 0;
        for (let at = 0; at < data.length; at += 4) if (data[at + 3]! > 60 && Math.abs(data[at]! - r) + Math.abs(data[at + 1]! - g) + Math.abs(data[at + 2]! - b) < 40) count += 1;
        return count;
      });
    expect(await hatched(gone)).toBeGreaterThan(200);
    expect(await hatched(stays)).toBe(0);
    expect(complaints).toEqual([]);
  } finally {
    await daemon.kill();
    for (const board of boards) await board.cut();
  }
});

test('the swing is drawn as it is made, with a knot for each stop, and with its curve at the end', async ({ page, complaints }) => {
  const demo = await Demo.start();
  try {
    await page.goto(demo.address);
    await ready(page);
    const left = page.getByTestId('swing-trace-front_left');
    const steer = page.getByTestId('swing-steer');
    await expect(steer).toBeVisible({ timeout: 30_000 });
    await expect(page.getByTestId('rest-1')).toBeVisible({ timeout: DONE_MS });
    // The figure that matters is as high as it is without the picture.
    const { run } = (await demo.state()).swing;
    const height_mm = await digit_height_mm(steer.locator('.figure'));
    await page.addStyleTag({ content: '.swing-trace { display: none !important }' });
    await page.waitForTimeout(300);
    expect(height_mm).toBeGreaterThanOrEqual((await digit_height_mm(steer.locator('.figure'))) - 0.1);
    expect(height_mm).toBeGreaterThanOrEqual(40);
    const way = Number(await left.getAttribute('data-way'));
    expect(way, 'the way to the first stop is drawn').toBeGreaterThan(100);
    // Opened in the middle of it, the page has all stops again.
    await page.reload();
    await expect.poll(async () => Number(await left.getAttribute('data-knots'))).toBeGreaterThanOrEqual(2);
    const swing = (await demo.state()).swing as unknown as { rests: unknown[] };
    expect(Number(await left.getAttribute('data-knots'))).toBeGreaterThanOrEqual(swing.rests.length);
    await expect.poll(async () => (await demo.state()).swing.phase, { timeout: DONE_MS }).toBe('done');
    await open_line(page, 'findings');
    const rests = ((await demo.state()).swing as unknown as { rests: unknown[] }).rests.length;
    for (const mount of ['front_left', 'front_right']) {
      const trace = page.getByTestId(`swing-trace-${mount}`);
      await expect(trace).toHaveAttribute('data-knots', String(rests));
      await expect(trace).toHaveAttribute('data-fitted', 'true');
    }
    await expect(page.getByTestId('swing-trace').locator('svg')).toHaveAttribute('aria-label', /° left: .*±/);
    expect((await demo.state()).swing.run).toBe(run);
    expect(complaints).toEqual([]);
  } finally {
    await demo.kill();
  }
});
