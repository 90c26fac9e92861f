// A board calibrated on the simulated bench, as a person at the bench sees it.
import { Demo, expect, test } from '../demo.ts';
import { agrees } from '../judge.ts';
import { digit_height_mm } from '../measure.ts';
import { open_line } from '../worksheet.ts';

/** 22 minutes of arc at three metres, the least for reading at ease (ISO 9241 series, from memory). */
const LEGIBLE_MM = 19;

test('a board is led through its poses, kept, and shown as calibrated', async ({ page, complaints }) => {
  const demo = await Demo.start(['--scenario', 'bench', '--speed', '6']);
  try {
    await page.goto(demo.address);
    const mark = page.getByTestId('calibration-front_left').first();
    await expect(mark).toHaveAttribute('data-state', 'absent');
    await expect(mark).toContainText('not calibrated');
    await page.getByTestId('boards-details').click();
    await page.getByTestId('calibrate-front_left').click();

    const phase = page.getByTestId('calibration-phase');
    await expect(phase).toHaveAttribute('data-phase', /lay|hold|taken/);
    const way = page.getByTestId('calibration-way');
    await expect(way).toHaveText(/^[XYZ] (up|down)$/);
    expect(await digit_height_mm(way)).toBeGreaterThanOrEqual(LEGIBLE_MM);
    await expect(page.getByTestId('calibration-hold')).toBeVisible();
    await expect(phase).toHaveAttribute('data-phase', 'solved', { timeout: 90_000 });
    await expect(page.getByTestId('calibration-result')).toContainText(/±\s*0\.\d\d°/);
    await page.getByTestId('calibration-keep').click();
    await expect(mark).toHaveAttribute('data-state', 'valid');
    await expect(mark).toContainText('calibrated');

    // Strapped on again, the board shows the camber that the car has.
    await open_line(page, 'camber');
    const camber = page.getByTestId('camber-front_left');
    await expect(camber).toHaveAttribute('data-motion', 'still', { timeout: 30_000 });
    const { camber_deg } = (await demo.state()).scenario!.wheels.find(({ mount }) => mount === 'front_left')!;
    // Not before it lies where it was: in a hand it shows no camber, and between two poses no value at all.
    const off_deg = () => camber.evaluate(({ dataset }: HTMLElement, truth) => Math.abs(Number(dataset['valueDeg'] ?? NaN) - truth), camber_deg);
    await expect.poll(off_deg, { timeout: 30_000 }).toBeLessThan(1);
    await expect(camber).toHaveAttribute('data-motion', 'still', { timeout: 30_000 });
    await agrees('camber of the calibrated board', camber, camber_deg, 0.3);
    expect(complaints).toEqual([]);
  } finally {
    await demo.kill();
  }
});
