// Wheels turned on the jack, and a swing with a board on the body, as a person at the car sees them.
import { Demo, expect, test } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';
import { open_line, ready } from '../worksheet.ts';

/** The car's time runs three times as fast, so that two run-outs and a swing fit into a test. */
const FAST = ['--scenario', 'body-roll', '--speed', '3'];
const RUN_OUT = /await_still|hold|taken|turning/;

test('a wheel being turned takes the screen, and findings say that the body was watched', async ({ page }) => {
  const demo = await Demo.start(FAST);
  try {
    await page.goto(demo.address);
    for (const mount of ['front_left', 'front_right']) {
      await expect(page.getByTestId(`run-out-phase-${mount}`)).toHaveAttribute('data-phase', RUN_OUT, { timeout: 60_000 });
      await expect(page.getByTestId(`run-out-${mount}`)).toHaveAttribute('data-stops', '2', { timeout: 60_000 });
      // Read at three metres: 22 minutes of arc, 19 mm on a ten-inch tablet.
      expect(await digit_height_mm(page.locator('.run-out-stops'))).toBeGreaterThanOrEqual(19);
    }
    await expect.poll(async () => (await demo.state()).swing.phase, { timeout: 120_000 }).toBe('done');
    await open_line(page, 'run_out');
    await expect(page.getByTestId('sits-front_left')).toHaveAttribute('data-sits-by', 'run_out');
    await expect(page.getByTestId('body-heading')).toHaveAttribute('data-by-jackings', 'true');
    await open_line(page, 'findings');
    await expect(page.getByTestId('body-watch')).toHaveAttribute('data-state', 'watching');
    const told = (await demo.state()).differences.find(({ angle }) => angle === 'caster');
    const shown = page.getByTestId('difference-caster');
    await expect(shown).toHaveAttribute('data-value-deg', String(told?.value_deg));
    await expect(shown).toHaveAttribute('data-expanded-deg', String(told?.expanded_deg));
  } finally {
    await demo.kill();
  }
});

test('a survey of the floor is taken and shown, and a wrong one says what to do', async ({ page, demo }) => {
  await page.goto(demo.address);
  await ready(page);
  // The swing that the demonstration starts by itself would take the screen.
  await demo.give_up_first_swing();
  await open_line(page, 'floor');
  const type = (field: string, value: string) => page.getByTestId(`floor-${field}`).fill(value);
  for (const [field, value] of [['front_left_mm', '206'], ['front_right_mm', '200'], ['rear_left_mm', '206'], ['rear_right_mm', '200']] as const) {
    await type(field, value);
  }
  await type('track_front_mm', '1500');
  await type('track_rear_mm', '1500');
  await type('wheelbase_mm', '26');
  await page.getByTestId('floor-heights').click();
  await expect(page.getByTestId('problem')).toHaveAttribute('data-code', 'length_impossible');
  await type('wheelbase_mm', '2600');
  await page.getByTestId('floor-heights').click();
  // More water over the left pads: they lie lower.
  await expect(page.getByTestId('floor-line')).toContainText('right side higher');
  await page.getByTestId('floor-forget').click();
  await expect(page.getByTestId('floor-line')).toHaveAttribute('data-by', 'configuration');
});
