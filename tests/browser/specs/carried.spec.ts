// Toe by a carried board from its start to its finding, hands-free after the start, against the car's truth.
import type { Page } from '@playwright/test';
import { expect, test, type Garage } from '../garage.ts';
import { agrees } from '../judge.ts';
import { fits_both_ways, open_line } from '../worksheet.ts';

test.use({
  opening: {
    scenario: 'garage-good',
    speed: 2,
    // One board more, in a block whose faces are a wedge and in which it leans.
    changes: [
      [
        '[car]\n',
        '[[board]]\nmount = "body"\nmounting = { x = "forward", z = "up" }\nrate_hz = 100\nwire = "csv"\n' +
          'chip = { preset = "good", gyro_flicker_dps = 0.0015, gyro_per_g_dps = 0.05 }\nclock = { rate_ppm = 12, jitter_us = 15 }\n\n' +
          '[block]\nfaces_deg = 0.06\nlean_deg = [1.2, 1.1]\n\n[car]\n',
      ],
    ],
  },
});

const REST_MS = 30_000;

async function carry(garage: Garage, wheel: string, reversed: boolean, more: Record<string, number> = {}): Promise<void> {
  await garage.do({ carry_block: 'body', wheel, reversed, over_s: 6, ...more });
  await garage.do({ rest_s: 4 });
}

async function start(page: Page, garage: Garage): Promise<void> {
  await carry(garage, 'front_left', false);
  await page.goto(garage.address);
  await open_line(page, 'checks');
  await page.getByTestId('check-kind-carried_toe').click();
  await fits_both_ways(page, 'before carrying');
  await page.getByTestId('check-start').click();
  await expect(page.getByTestId('check-stage')).toHaveAttribute('data-kind', 'carried_toe');
  await expect(page.getByTestId('check-phase')).toHaveAttribute('data-phase', 'taken', { timeout: REST_MS });
}

const taken = (page: Page, count: number) => expect(page.getByTestId('check-taken')).toHaveAttribute('data-taken', String(count), { timeout: REST_MS });

test('four passes and a turn end for end give total toe', async ({ page, garage }) => {
  test.setTimeout(180_000);
  await start(page, garage);
  await carry(garage, 'front_right', false);
  await taken(page, 1);
  await carry(garage, 'front_left', false);
  await taken(page, 2);
  await expect(page.getByTestId('check-say')).toContainText('end for end');
  await expect(page.getByTestId('check-so-far')).toContainText('±');
  await fits_both_ways(page, 'while carrying');
  await carry(garage, 'front_left', true);
  await carry(garage, 'front_right', true);
  await taken(page, 3);
  await carry(garage, 'front_left', true);
  await expect(page.locator('[data-testid=check-result][data-kind=carried_toe]')).toBeVisible({ timeout: REST_MS });
  const toe = page.getByTestId('check-carried_total_toe-car');
  await agrees('total toe by a carried board', toe, (await garage.truth()).stance.front_total_toe_deg, 0.05);
});

test('a pass that leans too far is left out, and it is said why', async ({ page, garage }) => {
  test.setTimeout(120_000);
  await start(page, garage);
  await carry(garage, 'front_right', false, { lean_deg: 60 });
  await expect(page.getByTestId('check-say')).toContainText('does not count', { timeout: REST_MS });
  await taken(page, 0);
  await page.getByTestId('check-cancel').click();
  await expect(page.locator('[data-testid=trouble][data-code=cancelled]')).toBeVisible();
});
