// A floor that nobody knows is surveyed, by heights and by a straight-edge, and camber goes by it.
import { expect, FRONT, test, type Garage } from '../garage.ts';
import { agrees, within } from '../judge.ts';
import type { Page } from '@playwright/test';
import { fits_both_ways, open_line, ready } from '../worksheet.ts';

test.use({
  opening: {
    scenario: 'garage-good',
    speed: 4,
    floor_told: false,
    changes: [['roll_deg = 0.0\npitch_deg = 0.0', 'roll_deg = 0.65\npitch_deg = -0.4']],
  },
});

const TRACK_MM = 1480;
const WHEELBASE_MM = 2560;
const sine = (deg: number) => Math.sin((deg * Math.PI) / 180);

const line = (page: Page) => page.getByTestId('floor-line');

async function judge_floor(page: Page, garage: Garage, widest: number): Promise<void> {
  const { floor } = await garage.truth();
  for (const way of ['roll', 'pitch'] as const) {
    const [value, expanded] = await Promise.all([`data-${way}-deg`, `data-${way}-expanded-deg`].map(async (name) => Number(await line(page).getAttribute(name))));
    within(`floor ${way}`, { value: value!, expanded: expanded! }, floor[`${way}_deg`], widest);
  }
  // What the survey is for: camber against this floor, not against the level.
  await open_line(page, 'camber');
  for (const mount of FRONT) {
    await expect(page.getByTestId(`camber-${mount}`)).toHaveAttribute('data-motion', 'still', { timeout: 20_000 });
    await agrees(`${mount} camber on this floor`, page.getByTestId(`camber-${mount}`), (await garage.wheel(mount)).camber_deg, 0.25);
  }
}

async function forget(page: Page): Promise<void> {
  await open_line(page, 'floor');
  await page.getByTestId('floor-forget').click();
  await expect(line(page)).toHaveAttribute('data-by', 'configuration');
}

for (const read of ['water_above_pad', 'pad_height'] as const) {
  test(`the floor by heights: ${read}`, async ({ page, garage }) => {
    await page.goto(garage.address);
    await ready(page);
    await open_line(page, 'floor');
    const { floor } = await garage.truth();
    // + roll: left side higher; + pitch: front lower. A rule is read to half a millimetre.
    const height_mm = (front: number, left: number) => (front * -sine(floor.pitch_deg) * WHEELBASE_MM + left * sine(floor.roll_deg) * TRACK_MM) / 2;
    const type = (field: string, text: string) => page.getByTestId(`floor-${field}`).fill(text);
    for (const [corner, front, left] of [['front_left', 1, 1], ['front_right', 1, -1], ['rear_left', -1, 1], ['rear_right', -1, -1]] as const) {
      const above_mm = read === 'pad_height' ? height_mm(front, left) + 30 : 200 - height_mm(front, left);
      await type(`${corner}_mm`, (Math.round(2 * above_mm) / 2).toFixed(1).replace('.', ','));
    }
    await page.getByTestId(`floor-reads-${read}`).check();
    await type('track_front_mm', String(TRACK_MM));
    await type('track_rear_mm', String(TRACK_MM));
    await type('wheelbase_mm', '25,6');
    await page.getByTestId('floor-heights').click();
    await expect(page.getByTestId('problem')).toHaveAttribute('data-code', 'length_impossible');
    await type('wheelbase_mm', String(WHEELBASE_MM));
    await fits_both_ways(page, 'floor');
    await page.getByTestId('floor-heights').click();
    await expect(line(page)).toHaveAttribute('data-by', 'heights');
    await judge_floor(page, garage, 0.15);
    await forget(page);
  });
}

/** What points up in the axes of a board that lies on a straight-edge, its x along it; its own base is 0.4° off. */
async function on_the_edge(garage: Garage, way: 'along' | 'across', turned: boolean): Promise<void> {
  const { floor } = await garage.truth();
  const slope_deg = way === 'along' ? -floor.pitch_deg : floor.roll_deg;
  const rises = sine(slope_deg) * (turned ? -1 : 1) + sine(0.4);
  await garage.do({ lay_board: 'front_left', up: [rises, 0, Math.sqrt(1 - rises * rises)], over_s: 2 });
}

test('the floor by a straight-edge, a board on it turned end for end', async ({ page, garage }) => {
  await page.goto(garage.address);
  await ready(page);
  await open_line(page, 'floor');
  await page.getByTestId('floor-board').selectOption({ index: 0 });
  await page.getByTestId('floor-axis-+x').click();
  const { floor } = await garage.truth();
  // + where the front or the left end is higher.
  for (const [name, way, slope_deg] of [['left', 'along', -floor.pitch_deg], ['front', 'across', floor.roll_deg]] as const) {
    const entry = page.getByTestId(`floor-line-${name}`);
    for (const turned of [false, true]) {
      await on_the_edge(garage, way, turned);
      await expect(entry).toHaveAttribute('data-half', String(turned));
      // A board in motion is refused; a person then waits a moment and presses again.
      await expect(async () => {
        await page.getByTestId(`floor-take-${name}`).click();
        await expect(entry).toHaveAttribute('data-half', String(!turned), { timeout: 1000 });
      }).toPass({ timeout: 20_000 });
    }
    await agrees(`slope of the ${name} line`, entry, slope_deg, 0.2);
    await fits_both_ways(page, 'lines');
  }
  await expect(line(page)).toHaveAttribute('data-by', 'lines');
  await garage.do({ strap_board: 'front_left', over_s: 2 });
  await judge_floor(page, garage, 0.2);
  await forget(page);
});
