// Play: a jacked wheel is rocked by hand, both ways, and a wheel that nobody rocked is refused.
import { expect, test, type Garage } from '../garage.ts';
import type { Page } from '@playwright/test';
import { agrees } from '../judge.ts';
import { fits_both_ways, open_line } from '../worksheet.ts';

test.use({
  opening: {
    scenario: 'garage-good',
    // Rocking is the fastest that a wheel is moved.
    speed: 2,
    changes: [['axis_behind_mm = 5\n', 'axis_behind_mm = 5\nplay = { top_bottom_deg = 0.25, front_rear_deg = 0.11 }\n']],
  },
});

const ROCK_MS = 40_000;
/** What hands push a wheel beyond either end of its play, degrees: the daemon measures how far the hub moves. */
const GIVE_DEG = 2 * 0.02;

async function begin(page: Page, garage: Garage, grip: string): Promise<void> {
  await page.goto(garage.address);
  await open_line(page, 'checks');
  for (const choice of ['kind-play', 'mount-front_right', `grip-${grip}`]) await page.getByTestId(`check-${choice}`).click();
  await page.getByTestId('check-start').click();
  await expect(page.getByTestId('check-phase')).toHaveAttribute('data-phase', 'rock', { timeout: ROCK_MS });
}

test.beforeAll(({ garage }) => garage.do({ jack_up: 'front_right', over_s: 2 }));
test.afterAll(({ garage }) => garage.do({ jack_down: 'front_right', over_s: 2 }));

for (const [grip, truth_deg] of [['top_bottom', 0.25], ['front_rear', 0.11]] as const) {
  test(`a wheel rocked ${grip} shows its play`, async ({ page, garage }) => {
    await begin(page, garage, grip);
    await fits_both_ways(page, 'rocking');
    await garage.do({ rock: 'front_right', about: grip, times: 4, hold_s: 0.8, over_s: 0.4 });
    await expect(page.getByTestId('check-result')).toHaveAttribute('data-kind', 'play', { timeout: ROCK_MS });
    await agrees(`play ${grip}`, page.getByTestId(`check-play_${grip}-front_right`), truth_deg + GIVE_DEG, 0.05);
  });
}

test('a wheel that nobody rocked is refused with what to do', async ({ page, garage }) => {
  await begin(page, garage, 'top_bottom');
  const trouble = page.locator('[data-testid=trouble][data-code=not_rocked]');
  await expect(trouble).toBeVisible({ timeout: ROCK_MS });
  await expect(trouble.locator('.trouble-remedy dd')).not.toBeEmpty();
});
