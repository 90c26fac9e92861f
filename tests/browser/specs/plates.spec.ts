// Swings by turn plates: boards without a gyro, readings typed at every stop or all at the end.
import type { Page } from '@playwright/test';
import { expect, FRONT, test, type Garage, type PlateReading } from '../garage.ts';
import { judge_wheel, STOP_MS, swing_phase } from '../swinging.ts';
import { fits_both_ways, open_line, UNDER_WAY } from '../worksheet.ts';

test.use({ opening: { scenario: 'no-gyro', speed: 4 } });

/** Plates read to a quarter of a degree limit this, not the chip. */
const WIDEST = { camber: 0.3, caster: 0.8, sai: 0.8, included_angle: 0.8 };

async function begin(page: Page, garage: Garage): Promise<void> {
  await page.goto(garage.address);
  await open_line(page, 'swing');
  await page.getByTestId('swing-source-plates').check();
  await page.getByTestId('swing-start').last().click();
  await expect(swing_phase(page)).toHaveAttribute('data-phase', UNDER_WAY);
}

const at_stop = (page: Page, rest: number) => expect(page.getByTestId(`plate-${rest}-front_left`)).toBeVisible({ timeout: STOP_MS });

/** Both readings of a rest: with their sign, or as a bare figure with its side pressed. */
async function type(page: Page, rest: number, read: readonly PlateReading[], by_side: boolean): Promise<void> {
  for (const { mount, plate_read_deg } of read) {
    const size = Math.abs(plate_read_deg).toFixed(2).replace('.', ',');
    const field = page.getByTestId(`plate-${rest}-${mount}`);
    if (by_side) {
      await field.fill(size);
      await expect(field).toHaveAttribute('aria-invalid', 'true');
      await page.getByTestId(`plate-${plate_read_deg > 0 ? 'left' : 'right'}-${rest}-${mount}`).click();
    } else await field.fill((plate_read_deg > 0 ? '+' : '-') + size);
    await expect(field).toHaveAttribute('aria-invalid', 'false');
  }
}

async function done(page: Page, garage: Garage): Promise<void> {
  await expect(page.getByTestId('line-findings')).toHaveClass(/line-open/, { timeout: STOP_MS });
  for (const mount of FRONT) await judge_wheel(page, garage, mount, WIDEST);
}

test('plates are read at every stop', async ({ page, garage }) => {
  await begin(page, garage);
  await expect(swing_phase(page)).toHaveAttribute('data-phase', 'await_turn', { timeout: STOP_MS });
  for (const [nth, to] of [19, -21].entries()) {
    await garage.do({ steer_to_deg: to, over_s: 2 });
    await at_stop(page, nth + 1);
    await fits_both_ways(page, 'plates at a stop');
    await type(page, nth + 1, await garage.plates(), true);
    await page.getByTestId('plate-submit').click();
    await expect(page.getByTestId(`rest-${nth + 1}`)).toBeVisible();
  }
  await garage.do({ steer_to_deg: 0, over_s: 2 });
  await done(page, garage);
});

test('plates are written down and typed at the end', async ({ page, garage }) => {
  await begin(page, garage);
  await expect(swing_phase(page)).toHaveAttribute('data-phase', 'await_turn', { timeout: STOP_MS });
  const written: PlateReading[][] = [];
  for (const [nth, to] of [19, -21].entries()) {
    await garage.do({ steer_to_deg: to, over_s: 2 });
    await at_stop(page, nth + 1);
    written.push(await garage.plates());
  }
  await garage.do({ steer_to_deg: 0, over_s: 2 });
  await expect(swing_phase(page)).toHaveAttribute('data-phase', 'await_plates', { timeout: STOP_MS });
  await fits_both_ways(page, 'plates at the end');
  for (const [nth, read] of written.entries()) await type(page, nth + 1, read, false);
  await page.getByTestId('plate-submit').click();
  await done(page, garage);
});

test('an arc too short is refused with how far to steer', async ({ page, garage }) => {
  await begin(page, garage);
  await expect(swing_phase(page)).toHaveAttribute('data-phase', 'await_turn', { timeout: STOP_MS });
  for (const [nth, to] of [5, -5].entries()) {
    await garage.do({ steer_to_deg: to, over_s: 2 });
    await at_stop(page, nth + 1);
    await type(page, nth + 1, await garage.plates(), false);
    await page.getByTestId('plate-submit').click();
    await expect(page.getByTestId(`rest-${nth + 1}`)).toBeVisible();
  }
  await garage.do({ steer_to_deg: 0, over_s: 2 });
  await expect(page.getByTestId('line-findings')).toHaveClass(/line-open/, { timeout: STOP_MS });
  const notes = page.getByTestId('swing-note');
  await expect(notes).toHaveCount(2);
  for (const note of await notes.all()) await expect(note).toContainText(/7° .*twenty/);
  for (const mount of FRONT) await expect(page.getByTestId(`finding-${mount}-caster`)).toHaveCount(0);
});
