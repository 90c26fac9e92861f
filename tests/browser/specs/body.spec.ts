// A body that rolls with the steering, and a board on it: told which way it looks, it takes the roll out.
import { expect, FRONT, test } from '../garage.ts';
import { judge_wheel, steer_through, STOP_MS } from '../swinging.ts';
import { open_line, start_swing } from '../worksheet.ts';

test.use({
  opening: {
    scenario: 'body-roll',
    speed: 4,
    // Put down along the car by eye.
    changes: [['misaligned_deg = [2.0, -1.5, 7.0]', 'misaligned_deg = [2.0, -1.5, 1.5]']],
  },
});

test('without a heading the swing says why the body was not watched; with one declared it is', async ({ page, garage }) => {
  await garage.do({ brake: 'locked' });
  await page.goto(garage.address);
  await start_swing(page);
  await steer_through(page, garage);
  const watch = page.getByTestId('body-watch');
  await expect(watch).toHaveAttribute('data-state', 'given_up', { timeout: STOP_MS });
  await expect(watch).not.toBeEmpty();

  await open_line(page, 'run_out');
  await expect(page.getByTestId('body-heading')).toHaveAttribute('data-by-jackings', 'false');
  const forward = page.getByTestId('body-forward-+x');
  await forward.click();
  await expect(forward).toHaveAttribute('aria-pressed', 'true');
  await start_swing(page);
  await steer_through(page, garage);
  await expect(watch).toHaveAttribute('data-state', 'watching', { timeout: STOP_MS });
  for (const mount of FRONT) await judge_wheel(page, garage, mount);
  // Pressed once more it is not declared any longer.
  await open_line(page, 'run_out');
  await forward.click();
  await expect(forward).toHaveAttribute('aria-pressed', 'false');
});
