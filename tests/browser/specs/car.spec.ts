// A car typed in by hand: figures, targets, adjusters; kept, changed, refused, deleted.
import type { Page } from '@playwright/test';
import { expect, test, type Garage } from '../garage.ts';
import { fits_both_ways, open_line } from '../worksheet.ts';

test.use({ opening: { scenario: 'garage-good', speed: 1 } });

// One car from its typing to its deletion.
test.describe.configure({ mode: 'serial' });

interface Car {
  id: number;
  record: Record<string, unknown>;
}

const kept = async (garage: Garage, name: string) => (await garage.json<Car[]>('/api/v1/cars')).find(({ record }) => record['name'] === name);

async function open(page: Page, garage: Garage): Promise<void> {
  await page.goto(garage.address);
  await open_line(page, 'visit');
}

const card = (page: Page, name: string) => page.locator(`[data-testid^="car-"][data-name="${name}"]`);
const type = async (page: Page, figures: Record<string, string>): Promise<void> => {
  for (const [path, text] of Object.entries(figures)) await page.getByTestId(`car-${path}`).fill(text);
};

test('a car that cannot be is refused with what to do', async ({ page, garage }) => {
  await open(page, garage);
  await page.getByTestId('car-import').click();
  await page.getByTestId('car-import-text').fill('name = "A"\nwheelbase_mm = -1');
  await page.getByTestId('car-import-take').click();
  const refusal = page.getByTestId('refusal-import');
  await expect(refusal).toContainText('wheelbase_mm');
  expect((await refusal.locator('p').allInnerTexts()).filter((text) => text !== '').length).toBeGreaterThanOrEqual(2);
});

test('a car is typed with its targets and adjusters, and kept as it was typed', async ({ page, garage }) => {
  await open(page, garage);
  await page.getByTestId('car-new').click();
  await type(page, {
    name: 'Typed 5',
    source: 'invented',
    wheelbase_mm: '2250,5',
    'front.track_mm': '1290',
    'front.rim_flange_mm': '352',
    'rear.track_mm': '1280',
    'steering.ratio': '15,5',
    'targets.front.camber_deg.target': "-0°30'",
    'targets.front.camber_deg.low': 'minus',
    'targets.front.caster_deg.target': '4.5',
    'targets.front.caster_deg.low': "3°45'",
    'targets.front.caster_deg.high': '5,25°',
    'targets.rear.toe_deg.high': "0°12'",
    'targets.thrust_deg.target': '0',
    'holds.tyre_kpa.front_left': '182,5',
    'holds.load': 'empty, half a tank',
  });
  await page.getByTestId('car-front.suspension-wishbones').click();
  await fits_both_ways(page, 'car');

  // A tie rod at both front wheels, and shims with two bolts.
  await page.getByTestId('car-adjuster-add').click();
  await page.getByTestId('car-adjuster-0-name').fill('tie rod');
  for (const corner of ['front_left', 'front_right']) await page.getByTestId(`car-adjuster-0-${corner}`).click();
  await type(page, { 'adjuster.0.pitch_mm': '1,5', 'adjuster.0.arm_mm': '118' });
  await page.getByTestId('car-adjuster.0.rod-ahead').click();
  await page.getByTestId('car-adjuster-add').click();
  await page.getByTestId('car-adjuster-1-kind').selectOption('arm_shims');
  await type(page, { 'adjuster.1.joint_height_mm': '228', 'adjuster.1.bolt_spacing_mm': '190', 'adjuster.1.arm_mm': '205', 'adjuster.1.stock_mm': '0,5; 1; 2' });
  await page.getByTestId('car-adjuster.1.bracket-inward').click();
  await page.getByTestId('car-adjuster-add').click();
  await fits_both_ways(page, 'adjusters');

  // What is no figure, and what lacks its name or place, is named and nothing is kept.
  await page.getByTestId('car-keep').click();
  const wrong = page.getByTestId('car-wrong');
  await expect(wrong).toBeVisible();
  await expect(page.getByTestId('car-targets.front.camber_deg.low')).toHaveAttribute('aria-invalid', 'true');
  expect(await kept(garage, 'Typed 5')).toBeUndefined();
  await type(page, { 'targets.front.camber_deg.low': '-1' });
  await page.getByTestId('car-adjuster-1-name').fill('upper arm shims');
  await page.getByTestId('car-adjuster-1-front_left').click();
  await page.getByTestId('car-adjuster-2-remove').click();
  await page.getByTestId('car-keep').click();
  await expect(card(page, 'Typed 5')).toBeVisible();

  expect((await kept(garage, 'Typed 5'))!.record).toEqual({
    name: 'Typed 5',
    source: 'invented',
    wheelbase_mm: 2250.5,
    front: { track_mm: 1290, rim_flange_mm: 352, suspension: 'wishbones' },
    rear: { track_mm: 1280 },
    steering: { ratio: 15.5 },
    targets: {
      front: { camber_deg: { target: -0.5, low: -1 }, caster_deg: { target: 4.5, low: 3.75, high: 5.25 } },
      rear: { toe_deg: { high: 0.2 } },
      thrust_deg: { target: 0 },
    },
    adjuster: [
      { name: 'tie rod', at: ['front_left', 'front_right'], way: { kind: 'tie_rod', pitch_mm: 1.5, arm_mm: 118, rod: 'ahead', thread: 'single' } },
      { name: 'upper arm shims', at: ['front_left'], way: { kind: 'arm_shims', joint_height_mm: 228, bolt_spacing_mm: 190, arm_mm: 205, stock_mm: [0.5, 1, 2], bracket: 'inward' } },
    ],
    holds: { tyre_kpa: { front_left: 182.5 }, load: 'empty, half a tank' },
  });
});

test('a kept car is changed, and what no field was touched of stays', async ({ page, garage }) => {
  await open(page, garage);
  const before = (await kept(garage, 'Typed 5'))!;
  await page.getByTestId(`car-${before.id}-change`).click();
  await expect(page.getByTestId('car-wheelbase_mm')).toHaveValue('2250.5');
  await expect(page.getByTestId('car-adjuster.1.stock_mm')).toHaveValue('0.5; 1; 2');
  await type(page, { wheelbase_mm: '2251', 'targets.rear.toe_deg.high': '' });
  await page.getByTestId('car-keep').click();
  await expect(page.getByTestId('car-form')).toHaveCount(0);
  const { targets, ...rest } = before.record as { targets: Record<string, unknown> };
  const { rear: _, ...left } = targets;
  expect((await kept(garage, 'Typed 5'))!.record).toEqual({ ...rest, wheelbase_mm: 2251, targets: left });
});

test('a car is deleted only by its name', async ({ page, garage }) => {
  await open(page, garage);
  const { id } = (await kept(garage, 'Typed 5'))!;
  await page.getByTestId(`car-${id}-remove`).click();
  await page.getByTestId('name-ask-field').fill('Typed');
  await expect(page.getByTestId('name-ask-go')).toBeDisabled();
  await page.getByTestId('name-ask-field').fill('Typed 5');
  await page.getByTestId('name-ask-go').click();
  await expect(card(page, 'Typed 5')).toHaveCount(0);
  expect(await kept(garage, 'Typed 5')).toBeUndefined();
});
