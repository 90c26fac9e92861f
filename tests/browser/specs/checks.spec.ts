// Every guided check from its start to its finding, the finding against the car's truth.
import type { Page } from '@playwright/test';
import { expect, FRONT, test, type Garage } from '../garage.ts';
import { agrees } from '../judge.ts';
import { judge_turns, steer, wheels_at } from '../swinging.ts';
import { fits_both_ways, open_line } from '../worksheet.ts';

test.use({
  opening: {
    scenario: 'garage-good',
    speed: 4,
    changes: [
      // A bar whose seat is off by more than any camber's tolerance, and a car with locks.
      ['[car]\n', '[bar]\nseat_deg = 0.35\n\n[car]\n'],
      ['[car.linkage]', '[car.steering]\nratio = 16\noff_centre_deg = -3\nlock_left_deg = 34\nlock_right_deg = 32.8\n\n[car.linkage]'],
      ['axis_behind_mm = 4\n', 'axis_behind_mm = 4\nbump = { camber_deg_per_mm = 0.012, camber_deg_per_mm2 = 0.00006, toe_deg_per_mm = -0.002 }\n'],
    ],
  },
});

/** The board of that hub on a bar across the rim; a hand takes its time to turn it. */
const BAR = { hold_bar: 'front_left', wheel: 'front_left', over_s: 4 };
/** A still stop at any speed on a busy machine. */
const STOP_MS = 30_000;

async function begin(page: Page, garage: Garage, kind: string, choices: Record<string, string> = {}): Promise<void> {
  await page.goto(garage.address);
  await open_line(page, 'checks');
  await page.getByTestId(`check-kind-${kind}`).click();
  for (const [choice, value] of Object.entries(choices)) await page.getByTestId(`check-${choice}-${value}`).click();
  await fits_both_ways(page, `before ${kind}`);
}

async function start(page: Page, garage: Garage, kind: string, choices: Record<string, string> = {}): Promise<void> {
  await begin(page, garage, kind, choices);
  await page.getByTestId('check-start').click();
  await expect(page.getByTestId('check-stage')).toHaveAttribute('data-kind', kind);
}

const taken = (page: Page, count: number) => expect(page.getByTestId('check-taken')).toHaveAttribute('data-taken', String(count), { timeout: STOP_MS });
const result = (page: Page, kind: string) => expect(page.locator(`[data-testid=check-result][data-kind=${kind}]`)).toBeVisible({ timeout: STOP_MS });

async function type(page: Page, figures: Record<string, string>): Promise<void> {
  const stop = await page.getByTestId('check-wanted').getAttribute('data-stop');
  for (const [field, text] of Object.entries(figures)) await page.getByTestId(`check-figure-${field}`).fill(text);
  await page.getByTestId('check-figure-take').click();
  // The car stays as it is until the daemon has the figures: moved before, they belong to another stop.
  await expect(page.locator(`[data-testid=check-wanted][data-stop="${stop}"]`)).toHaveCount(0, { timeout: STOP_MS });
}

/** With a decimal comma, as many a hand writes it. */
const comma = (value: number, decimals: number): string => value.toFixed(decimals).replace('.', ',');

test('camber by the hub board', async ({ page, garage }) => {
  await start(page, garage, 'camber_on_hub', { mount: 'front_left' });
  await expect(page.getByTestId('check-phase')).toHaveAttribute('data-phase', /await_still|hold/);
  await result(page, 'camber_on_hub');
  await agrees('camber by the hub board', page.getByTestId('check-camber-front_left'), (await garage.wheel('front_left')).camber_deg, 0.2);
});

test('a bar turned faster than its gyro reads is refused with how to turn it', async ({ page, garage }) => {
  await garage.do(BAR);
  await start(page, garage, 'camber_on_bar', { mount: 'front_left', turn: 'other_end' });
  await taken(page, 1);
  await garage.do({ ...BAR, reversed: true, over_s: 1.2 });
  const trouble = page.locator('[data-testid=trouble][data-code=saturated]');
  await expect(trouble).toBeVisible({ timeout: STOP_MS });
  await expect(trouble.locator('.trouble-remedy dd')).not.toBeEmpty();
  await garage.do({ strap_board: 'front_left', over_s: 4 });
});

test('camber by a bar that is turned end for end', async ({ page, garage }) => {
  await garage.do(BAR);
  await start(page, garage, 'camber_on_bar', { mount: 'front_left', turn: 'other_end' });
  await taken(page, 1);
  await garage.do({ ...BAR, reversed: true });
  await result(page, 'camber_on_bar');
  await garage.do({ strap_board: 'front_left', over_s: 2 });
  // 0.35° is what either take alone would be off.
  await agrees('camber by the bar', page.getByTestId('check-camber-front_left'), (await garage.wheel('front_left')).camber_deg, 0.2);
});

test('a bar that came back as it was is refused with what to do', async ({ page, garage }) => {
  await garage.do(BAR);
  await start(page, garage, 'camber_on_bar', { mount: 'front_left', turn: 'other_end' });
  await taken(page, 1);
  // Taken off, looked at, and put back the same way.
  for (const by of [90, -90]) await garage.do({ turn_board: 'front_left', by_deg: [0, 0, by], over_s: 3 });
  const trouble = page.locator('[data-testid=trouble][data-code=not_turned]');
  await expect(trouble).toBeVisible({ timeout: STOP_MS });
  await expect(trouble.locator('.trouble-remedy dd')).not.toBeEmpty();
  await garage.do({ strap_board: 'front_left', over_s: 2 });
});

test('lock to lock by the gyros', async ({ page, garage }) => {
  await start(page, garage, 'centring', { by: 'gyro' });
  await taken(page, 1);
  const left = await wheels_at(garage, 34);
  await taken(page, 2);
  await fits_both_ways(page, 'at the left lock');
  const right = await wheels_at(garage, -32.8);
  await taken(page, 3);
  await steer(garage, 0);
  await result(page, 'centring');
  const mean = (of: Record<string, number>) => (of['front_left']! + of['front_right']!) / 2;
  for (const wheel of FRONT) {
    await agrees(`left lock ${wheel}`, page.getByTestId(`check-lock_left-${wheel}`), left[wheel]!, 0.5);
    await agrees(`right lock ${wheel}`, page.getByTestId(`check-lock_right-${wheel}`), -right[wheel]!, 0.5);
  }
  await agrees('off centre', page.getByTestId('check-off_centre-car'), (mean(left) + mean(right)) / 2, 0.3);
});

test('lock to lock by turn plates', async ({ page, garage }) => {
  await start(page, garage, 'centring', { by: 'plates' });
  const wanted = page.getByTestId('check-wanted');
  let locks = 0;
  for (const to_deg of [0, 34, -32.8, 0]) {
    await expect(wanted).toHaveAttribute('data-what', 'plates');
    const wheels = await wheels_at(garage, to_deg);
    if (to_deg !== 0) locks += (wheels['front_left']! + wheels['front_right']!) / 2;
    const read = Object.fromEntries((await garage.plates()).map(({ mount, plate_read_deg }) => [mount, comma(plate_read_deg, 1)]));
    await fits_both_ways(page, 'typing plates');
    await type(page, read);
  }
  await result(page, 'centring');
  // Plates read to a quarter of a degree.
  await agrees('off centre by plates', page.getByTestId('check-off_centre-car'), locks / 2, 0.5);
});

test('lock to lock by the steering wheel', async ({ page, garage }) => {
  await start(page, garage, 'centring', { by: 'steering_wheel' });
  for (const [nth, to_deg] of [0, 34, -32.8, 0].entries()) {
    await steer(garage, to_deg);
    const { steering_wheel_deg } = (await garage.truth()).stance;
    await expect(page.getByTestId('check-wanted')).toHaveAttribute('data-what', 'steering_wheel');
    await type(page, { steering_wheel: comma(steering_wheel_deg, 0) });
    if (nth === 1) await expect(page.getByTestId('check-wanted')).toBeVisible();
  }
  await result(page, 'centring');
  // From where it stands with the wheels straight ahead: 16 times half of 34° less 32.8°.
  await agrees('off centre by the steering wheel', page.getByTestId('check-off_centre-car'), (16 * (34 - 32.8)) / 2, 6);
});

test('toe-out on turns by the gyros', async ({ page, garage }) => {
  await start(page, garage, 'toe_out_on_turns', { by: 'gyro' });
  for (const [nth, to_deg] of [19.5, -19, 0].entries()) {
    await taken(page, nth + 1);
    await steer(garage, to_deg);
  }
  await result(page, 'toe_out_on_turns');
  await judge_turns(page, garage, 'gyro', 0.4);
});

test('toe-out on turns by turn plates', async ({ page, garage }) => {
  await start(page, garage, 'toe_out_on_turns', { by: 'plates' });
  for (const to_deg of [19.5, -19]) {
    await steer(garage, to_deg);
    const read = await garage.plates();
    await type(page, Object.fromEntries(read.map(({ mount, plate_read_deg }) => [mount, comma(plate_read_deg, 1)])));
    await expect(page.getByTestId('check-wanted')).toBeVisible();
  }
  await page.getByTestId('check-finish').click();
  await result(page, 'toe_out_on_turns');
  await judge_turns(page, garage, 'plates', 1);
});

test('ride height: camber follows the body', async ({ page, garage }) => {
  await begin(page, garage, 'height_sweep', { mount: 'front_left' });
  const height = page.getByTestId('check-ride-height');
  await height.fill('as made');
  await expect(height).toHaveAttribute('aria-invalid', 'true');
  await expect(page.getByTestId('check-start')).toBeDisabled();
  await height.fill('350,0');
  await page.getByTestId('check-start').click();
  const camber_deg: number[] = [];
  for (const [nth, to_mm] of [-20, -10, 0, 10, 20].entries()) {
    await garage.do({ set_height_mm: to_mm, wheels: ['front_left', 'front_right'], over_s: 2 });
    camber_deg.push((await garage.wheel('front_left')).camber_deg);
    await expect(page.getByTestId('check-wanted')).toHaveAttribute('data-what', 'height', { timeout: STOP_MS });
    if (nth === 0) await fits_both_ways(page, 'typing a height');
    await type(page, { height: comma(350 + to_mm, 1) });
    // At rest until the stop is taken; only then the next height is asked for.
    await expect(page.getByTestId('check-wanted')).toHaveAttribute('data-what', 'height', { timeout: STOP_MS });
  }
  await page.getByTestId('check-finish').click({ timeout: STOP_MS });
  await result(page, 'height_sweep');
  await garage.do({ set_height_mm: 0, wheels: ['front_left', 'front_right'], over_s: 2 });
  // At the middle of heights that lie alike about it the slope is that between the outer two.
  const slope = (camber_deg[4]! - camber_deg[0]!) / 40;
  await agrees('camber slope', page.getByTestId('check-camber_slope-front_left'), slope, 0.004, 4);
  await agrees('camber at ride height', page.getByTestId('check-camber_at_ride_height-front_left'), camber_deg[2]!, 0.2);
});
