// Boards strapped on anyhow: wheels are turned on the jack, and the body's board is told or finds which way
// it looks. Then camber and swings go by it.
import type { Page } from '@playwright/test';
import { expect, FRONT, test, type Garage, type Wheel } from '../garage.ts';
import { agrees } from '../judge.ts';
import { digit_height_mm } from '../measure.ts';
import { judge_wheel, steer_through, STOP_MS } from '../swinging.ts';
import { fits_both_ways, open_line, start_swing } from '../worksheet.ts';

/** Nobody told how any board sits; the body rolls with the steering. */
test.use({ opening: { scenario: 'body-roll', speed: 3, seats_told: false } });
// One car whose boards are found.
test.describe.configure({ mode: 'serial' });

/** Turns the jacked wheel by quarters as the page takes them. */
async function run_out(page: Page, garage: Garage, mount: Wheel): Promise<void> {
  await open_line(page, 'run_out');
  await garage.do({ jack_up: mount, over_s: 3 });
  await page.getByTestId(`run-out-start-${mount}`).click();
  const turning = page.getByTestId(`run-out-${mount}`);
  for (const [nth, spin_deg] of [92, 88, 91].entries()) {
    await expect(turning).toHaveAttribute('data-stops', String(nth + 1), { timeout: STOP_MS });
    if (nth === 1) {
      // Read at three metres: 22 minutes of arc, 19 mm on a ten-inch tablet.
      expect(await digit_height_mm(page.locator('.run-out-stops'))).toBeGreaterThanOrEqual(19);
      await fits_both_ways(page, 'run-out');
    }
    await garage.do({ spin_deg, wheel: mount, over_s: 2 });
  }
  await expect(page.getByTestId(`sits-${mount}`)).toHaveAttribute('data-sits-by', 'run_out', { timeout: STOP_MS });
  await garage.do({ jack_down: mount, over_s: 3 });
}

test('wheels are turned on the jack, and camber goes by what was found', async ({ page, garage }) => {
  await page.goto(garage.address);
  await open_line(page, 'camber');
  for (const mount of FRONT) await expect(page.getByTestId(`camber-${mount}`)).toHaveAttribute('data-reason', 'unmounted');
  await run_out(page, garage, 'front_left');
  // One jacking tells no heading of the body's board; two that lean it to both sides do.
  await expect(page.getByTestId('body-heading')).toHaveAttribute('data-by-jackings', 'false');
  await run_out(page, garage, 'front_right');
  await expect(page.getByTestId('body-heading')).toHaveAttribute('data-by-jackings', 'true');
  await fits_both_ways(page, 'how the boards sit');
  await garage.do({ brake: 'locked' });
  await open_line(page, 'camber');
  for (const mount of FRONT) {
    const camber = page.getByTestId(`camber-${mount}`);
    await expect(camber).toHaveAttribute('data-status', 'known', { timeout: STOP_MS });
    await agrees(`${mount} camber`, camber, (await garage.wheel(mount)).camber_deg, 0.3);
  }
});

test('a swing goes by the heading that the jackings showed', async ({ page, garage }) => {
  await page.goto(garage.address);
  await start_swing(page);
  await steer_through(page, garage);
  await expect(page.getByTestId('body-watch')).toHaveAttribute('data-state', 'watching', { timeout: STOP_MS });
  for (const mount of FRONT) await judge_wheel(page, garage, mount);
  const [left, right] = await Promise.all(FRONT.map((mount) => garage.wheel(mount)));
  await agrees('caster, left less right', page.getByTestId('difference-caster'), left!.caster_deg! - right!.caster_deg!, 0.6);
});

test('a board that was moved is forgotten, and its wheel has no camber before it is turned again', async ({ page, garage }) => {
  await page.goto(garage.address);
  await open_line(page, 'run_out');
  await page.getByTestId('run-out-forget-front_right').click();
  await expect(page.getByTestId('sits-front_right')).toHaveAttribute('data-sits-by', 'unknown');
  await expect(page.getByTestId('body-heading')).toHaveAttribute('data-by-jackings', 'false');
  await open_line(page, 'camber');
  await expect(page.getByTestId('camber-front_right')).toHaveAttribute('data-reason', 'unmounted');
  await expect(page.getByTestId('camber-front_left')).toHaveAttribute('data-status', 'known');
});
