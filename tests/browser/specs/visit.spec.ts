// A visit as a person at the car goes through it: car, preparation, measuring, table, end.
import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import { Demo, expect, test } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';
import { too_small } from '../touch.ts';
import { open_line, ready } from '../worksheet.ts';

const EXAMPLE = fileURLToPath(new URL('../../../docs/car.example.toml', import.meta.url));

interface Visit {
  id: number;
  stage: string;
  preparation: { point: string; done_at: string | null; note: string }[];
  conditions: { tyre_kpa: Record<string, number> } | null;
  findings: { quantity: string; place: string; stage: string; value: number; expanded: number }[];
  runs: { number: number; procedure: string; taken_back: boolean }[];
}

async function visit_of(demo: Demo): Promise<Visit> {
  const state = (await (await fetch(`${demo.address}/api/v1/state`)).json()) as { visit: { id: number | null } };
  return (await (await fetch(`${demo.address}/api/v1/visits/${state.visit.id}`)).json()) as Visit;
}

/** Imports the example car and begins a visit of it. */
async function begin(page: Page): Promise<void> {
  await open_line(page, 'visit');
  await page.getByTestId('car-import').click();
  await page.getByTestId('car-import-file').setInputFiles(EXAMPLE);
  await expect(page.getByTestId('car-import-text')).toHaveValue(/Wicket 1300/);
  await page.getByTestId('car-import-take').click();
  const car = page.locator('[data-name="Wicket 1300"]');
  await expect(car).toHaveCount(1);
  await car.getByRole('button', { name: 'Begin a visit' }).click();
  await expect(page.getByTestId('visit-at-hand')).toHaveAttribute('data-stage', 'preparing');
}

async function with_demo(page: Page, act: (demo: Demo) => Promise<void>): Promise<void> {
  const demo = await Demo.start();
  try {
    await page.goto(demo.address);
    await ready(page);
    await act(demo);
  } finally {
    await demo.kill();
  }
}

test('a car that cannot be is refused with what to do', async ({ page }) => {
  await with_demo(page, async (demo) => {
    await demo.give_up_first_swing();
    await open_line(page, 'visit');
    await page.getByTestId('car-import').click();
    await page.getByTestId('car-import-text').fill('name = "A"\nwheelbase_mm = -1');
    await page.getByTestId('car-import-take').click();
    const refusal = page.getByTestId('refusal-import');
    await expect(refusal).toContainText('wheelbase_mm');
    await expect(refusal).toContainText('Correct what is named');
  });
});

test('a car is typed, with minutes and a comma, and deleted only by its name', async ({ page }) => {
  await with_demo(page, async (demo) => {
    await demo.give_up_first_swing();
    await open_line(page, 'visit');
    await page.getByTestId('car-new').click();
    await page.getByTestId('car-name').fill('Typed 5');
    await page.getByTestId('car-wheelbase_mm').fill('2250,5');
    await page.getByTestId('car-targets.front.camber_deg.target').fill("-0°30'");
    await page.getByTestId('car-targets.front.camber_deg.low').fill('minus');
    expect(await too_small(page)).toEqual([]);
    await page.getByTestId('car-keep').click();
    await expect(page.getByTestId('car-wrong')).toContainText('front camber, lowest');
    await page.getByTestId('car-targets.front.camber_deg.low').fill('-1');
    await page.getByTestId('car-keep').click();
    const card = page.locator('[data-name="Typed 5"]');
    await expect(card).toContainText('figures are missing');
    const cars = (await (await fetch(`${demo.address}/api/v1/cars`)).json()) as { record: { wheelbase_mm: number; targets: { front: unknown } } }[];
    expect(cars[0]?.record.wheelbase_mm).toBe(2250.5);
    expect(cars[0]?.record.targets.front).toEqual({ camber_deg: { target: -0.5, low: -1 } });
    await card.getByRole('button', { name: 'Delete' }).click();
    await page.getByTestId('name-ask-field').fill('Typed');
    await expect(page.getByTestId('name-ask-go')).toBeDisabled();
    await page.getByTestId('name-ask-field').fill('Typed 5');
    await page.getByTestId('name-ask-go').click();
    await expect(card).toHaveCount(0);
  });
});

test('a visit goes from preparing to the sheet', async ({ page, complaints }) => {
  await with_demo(page, async (demo) => {
    await demo.give_up_first_swing();
    await begin(page);

    // Preparing: the first point is open, its cautions with it; figures are entered at their point.
    await open_line(page, 'prepare');
    await page.getByTestId('note-floor').fill('level to a hair');
    await page.getByTestId('tick-floor').click();
    await expect(page.getByTestId('point-floor')).toHaveAttribute('data-done', 'true');
    await page.getByTestId('point-tyres').locator('.point-title').click();
    await expect(page.getByTestId('point-tyres')).toContainText('Never stand over a tyre');
    await page.getByTestId('condition-tyre_kpa.front_left').fill('182,5');
    await page.getByTestId('conditions-keep-tyres').click();
    await expect.poll(async () => (await visit_of(demo)).conditions?.tyre_kpa).toEqual({ front_left: 182.5 });
    await expect(page.getByTestId('conditions-off')).toContainText('tyre pressure front right');
    expect(await too_small(page)).toEqual([]);
    await page.getByTestId('go-on-before').click();
    await expect(page.getByTestId('visit-at-hand')).toHaveAttribute('data-stage', 'before');

    // Toe by strings: what is not understood is told at its field.
    await open_line(page, 'figures');
    const type = (field: string, text: string) => page.getByTestId(`figure-${field}`).fill(text);
    await type('front_left.ahead', '80 ells');
    await type('front_left.behind', '81,5');
    await type('front_right.ahead', '80');
    await type('front_right.behind', '81.5 mm');
    await page.getByTestId('figures-take').click();
    await expect(page.getByTestId('refusal-figures')).toBeVisible();
    await expect(page.getByTestId('figure-front_left.ahead')).toHaveAttribute('aria-invalid', 'true');
    await type('front_left.ahead', '80');
    expect(await too_small(page)).toEqual([]);
    await page.getByTestId('figures-take').click();
    await expect(page.getByTestId('figures-taken')).toBeVisible();

    // A swing goes into the visit by itself.
    await open_line(page, 'swing');
    await page.getByTestId('swing-start').first().click();
    await expect.poll(async () => (await visit_of(demo)).runs.map(({ procedure }) => procedure), { timeout: 150_000 }).toContain('swing');

    // The table shows what the interface tells.
    await open_line(page, 'table');
    const told = await visit_of(demo);
    expect(told.findings.map(({ quantity }) => quantity)).toEqual(expect.arrayContaining(['camber', 'caster', 'sai', 'toe', 'total_toe']));
    for (const { quantity, place, stage, value, expanded } of told.findings) {
      const shown = page.getByTestId(`found-${quantity}-${place}-${stage}`);
      await expect(shown).toHaveAttribute('data-value', String(value));
      await expect(shown).toHaveAttribute('data-expanded', String(expanded));
      await expect(shown).toContainText('±');
    }
    // 81.5 mm behind less 80 mm ahead over the 352 mm flange of the example, by both wheels:
    // 2 · arcsin(1.5/352) = 0.488°; the string is outside the wheel, so that less ahead is toe-out.
    const toe = told.findings.find(({ quantity }) => quantity === 'total_toe');
    expect(toe?.value).toBeCloseTo((-2 * Math.asin(1.5 / 352) * 180) / Math.PI, 2);
    await expect(page.getByTestId('verdict-total_toe-front-before')).toHaveAttribute('data-verdict', 'outside');
    expect(await too_small(page)).toEqual([]);

    // A run that does not hold is taken back with its reason.
    const strings = told.runs.find(({ procedure }) => procedure === 'toe_strings');
    await page.getByTestId(`take-back-${strings?.number}`).click();
    await page.getByTestId('take-back-why').fill('a string had slipped');
    await page.getByTestId('take-back-now').click();
    await expect(page.getByTestId(`run-${strings?.number}`)).toHaveAttribute('data-taken-back', 'true');
    await expect(page.getByTestId('table-total_toe')).toHaveCount(0);

    // The end: the sheet can be opened, and nothing is added any more.
    await open_line(page, 'sheet');
    await expect(page.getByTestId('sheet-open')).toHaveAttribute('href', `sheet/${told.id}?language=en`);
    await page.getByTestId('visit-close').click();
    await expect(page.getByTestId('visit-reopen')).toBeVisible();
    expect((await visit_of(demo)).stage).toBe('closed');
    // The refused length is told on the console by the browser itself.
    expect(complaints.filter((complaint) => !complaint.includes('422'))).toEqual([]);
  });
});

test('a step of adjusting fills the screen with the live wheel', async ({ page }) => {
  await with_demo(page, async (demo) => {
    await demo.give_up_first_swing();
    await begin(page);
    await page.getByTestId('stage-before').click();
    await open_line(page, 'swing');
    await page.getByTestId('swing-start').first().click();
    await expect.poll(async () => (await visit_of(demo)).runs.length, { timeout: 150_000 }).toBeGreaterThan(0);
    await open_line(page, 'adjust');
    await page.locator('[data-testid^="step-open-camber-"]').first().click();
    const figure = page.getByTestId('work-value').locator('.figure');
    await expect(figure).toBeVisible();
    expect(await digit_height_mm(figure)).toBeGreaterThanOrEqual(40);
    await expect(page.getByTestId('way')).toContainText(/Top (in|out)|there/);
    expect(await too_small(page)).toEqual([]);
    await page.getByTestId('work-moved').click();
    await page.getByTestId('moved-amount-0').fill('1,5');
    await page.getByTestId('moved-locked').click();
    await page.getByTestId('moved-keep').click();
    await expect(page.getByTestId('measure-again')).toBeVisible();
    expect(await too_small(page)).toEqual([]);
  });
});
