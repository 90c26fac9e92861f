// Toe and setback measured by hand, every way of it, typed in and found in the table near the truth.
import type { Page } from '@playwright/test';
import { expect, test, WHEELS, type Garage, type WheelTruth } from '../garage.ts';
import { agrees } from '../judge.ts';
import { begin_visit, found, go_to } from '../visiting.ts';
import { fits_both_ways, open_line } from '../worksheet.ts';

test.use({
  opening: {
    scenario: 'bent-knuckle',
    speed: 4,
    changes: [['[[adjuster]]\nwheel = "front_left"\nname = "tie_rod"', '[[damage]]\nwheel = "front_right"\nwhat = { set_back = { by_mm = 9 } }\n\n[[adjuster]]\nwheel = "front_left"\nname = "tie_rod"']],
  },
});

/** Rim diameter a tape is held at, m. */
const RIM_M = 0.35;
const TRACK_MM = 1260;
/** Half a turn of the wheels, mm. */
const HALF_TURN_MM = Math.PI * 265;

/** With a decimal comma and its unit, as many a hand writes it. */
const mm = (value: number): string => `${value.toFixed(1)} mm`.replace('.', ',');
const rad = (deg: number): number => (deg * Math.PI) / 180;

const roll = (garage: Garage, way: 1 | -1) => garage.do({ brake: 'free' }, { roll_mm: way * HALF_TURN_MM, over_s: 3 }, { brake: 'locked' });

test.beforeAll(async ({ garage, browser }) => {
  const page = await browser.newPage();
  await page.goto(garage.address);
  await begin_visit(page);
  await go_to(page, 'before');
  await page.close();
});

async function way(page: Page, garage: Garage, name: string): Promise<void> {
  await page.goto(garage.address);
  await open_line(page, 'figures');
  await page.getByTestId(`figures-way-${name}`).click();
  await expect(page.getByTestId('figures-form')).toHaveAttribute('data-way', name);
}

async function take(page: Page, figures: Record<string, string>): Promise<void> {
  for (const [field, text] of Object.entries(figures)) await page.getByTestId(`figure-${field}`).fill(text);
  await fits_both_ways(page, 'figures');
  await page.getByTestId('figures-take').click();
  await expect(page.getByTestId('figures-taken')).toBeVisible();
  await open_line(page, 'table');
}

test('toe by strings: every wheel, both axles and the thrust', async ({ page, garage }) => {
  await way(page, garage, 'strings');
  const first = await garage.strings(RIM_M, 0.75);
  await roll(garage, 1);
  const turned = await garage.strings(RIM_M, 0.75);
  await roll(garage, -1);
  await take(
    page,
    Object.fromEntries(
      WHEELS.flatMap((wheel) => [
        [`${wheel}.ahead`, mm(first[wheel][0])],
        [`${wheel}.behind`, mm(first[wheel][1])],
        [`${wheel}.turned_ahead`, mm(turned[wheel][0])],
        [`${wheel}.turned_behind`, mm(turned[wheel][1])],
      ]),
    ),
  );
  const { wheels, stance } = await garage.truth();
  for (const { mount, toe_deg } of wheels) await agrees(`toe ${mount}`, found(page, 'toe', mount), toe_deg, 0.25);
  await agrees('total toe in front', found(page, 'total_toe', 'front'), stance.front_total_toe_deg, 0.25);
  await agrees('total toe at the rear', found(page, 'total_toe', 'rear'), stance.rear_total_toe_deg, 0.25);
  await agrees('thrust', found(page, 'thrust', 'car'), stance.thrust_deg, 0.25);
});

test('toe by the gap ahead of and behind an axle', async ({ page, garage }) => {
  await way(page, garage, 'gap');
  await page.getByTestId('figures-axle-front').click();
  const gap = async () => {
    const { true_mm, gap_read_mm } = await garage.trammel(true, RIM_M);
    return [mm(true_mm[0]), mm(true_mm[0] + gap_read_mm)] as const;
  };
  const [ahead, behind] = await gap();
  await roll(garage, 1);
  const [turned_ahead, turned_behind] = await gap();
  await roll(garage, -1);
  await take(page, { diameter: '350 mm', ahead, behind, turned_ahead, turned_behind, run_out: '0,6' });
  await agrees('total toe by the gap', found(page, 'total_toe', 'front'), (await garage.truth()).stance.front_total_toe_deg, 0.3);
});

/** Where a mirror on a wheel throws a level beam that is square to the car: it turns the ray about its normal. */
function spot_mm({ mount, toe_deg, camber_deg }: WheelTruth, distance_mm: number): { forward: number; up: number } {
  const [toe, camber] = [rad(toe_deg), rad(camber_deg)];
  // The normal points away from the car: forward with toe-in, down with the top out; alike on both sides.
  const [x, out, z] = [Math.sin(toe) * Math.cos(camber), Math.cos(toe) * Math.cos(camber), -Math.sin(camber)];
  expect(mount).toMatch(/left|right/);
  const back = 2 * out * out - 1;
  return { forward: (distance_mm * 2 * out * x) / back, up: (distance_mm * 2 * out * z) / back };
}

test('toe by the spot of light of a mirror', async ({ page, garage }) => {
  const wheel = await garage.wheel('rear_left');
  await way(page, garage, 'spot');
  await page.getByTestId('figures-corner-rear_left').click();
  // The mirror sits askew by 0.3°; after half a turn of the wheel it is askew the other way.
  const askew_mm = 2 * Math.tan(rad(0.3)) * 3000;
  const spot = spot_mm(wheel, 3000);
  await take(page, {
    distance: '3 m',
    forward: mm(spot.forward + askew_mm),
    up: mm(spot.up),
    turned_forward: mm(spot.forward - askew_mm),
    turned_up: mm(spot.up),
    beam_standard: "0°05'",
  });
  await agrees('toe by the spot', found(page, 'toe', 'rear_left'), wheel.toe_deg, 0.25);
});

test('side slip over a plate, told as an indication', async ({ page, garage }) => {
  const wheel = await garage.wheel('rear_left');
  await way(page, garage, 'slip');
  await page.getByTestId('figures-corner-rear_left').click();
  // Metres sideways per kilometre; a plate is read to half of one.
  const slip = 1000 * Math.tan(rad(wheel.toe_deg));
  await take(page, { reading: `${slip.toFixed(0)},0`, reading_2: `${(slip + 0.5).toFixed(1)} m/km`, reading_3: `${(slip * 5.28 - 1).toFixed(0)} ft/mile` });
  await agrees('toe by the slip plate', found(page, 'toe', 'rear_left'), wheel.toe_deg, 1);
});

test('setback from a line across the car', async ({ page, garage }) => {
  await way(page, garage, 'setback');
  await page.getByTestId('figures-axle-front').click();
  const ahead_mm = Math.tan(rad((await garage.truth()).stance.front_setback_deg)) * TRACK_MM;
  await take(page, { left: mm(612.4 + ahead_mm), right: '61,24 cm' });
  await agrees('setback', found(page, 'setback', 'front'), ahead_mm, 6, 1);
});

test('a figure that can be read two ways is refused at its field', async ({ page, garage }) => {
  await way(page, garage, 'setback');
  await page.getByTestId('figure-left').fill('2,600 mm');
  await page.getByTestId('figure-right').fill('612');
  await page.getByTestId('figures-take').click();
  await expect(page.getByTestId('refusal-figures')).toBeVisible();
  await expect(page.getByTestId('figure-left')).toHaveAttribute('aria-invalid', 'true');
  await expect(page.getByTestId('figure-right')).toHaveAttribute('aria-invalid', 'false');
});
