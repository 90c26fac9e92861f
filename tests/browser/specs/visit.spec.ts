// What becomes of a visit: a run taken back, put away and taken to hand, closed and opened, its sheet, its notation.
import type { Page } from '@playwright/test';
import { expect, FRONT, test, type Garage } from '../garage.ts';
import { steer_through } from '../swinging.ts';
import { begin_visit, found, go_to, has_run, visit_of } from '../visiting.ts';
import { fits_both_ways, open_line, start_swing } from '../worksheet.ts';

test.use({ opening: { scenario: 'garage-good', speed: 4 } });
// One visit from its beginning to its deletion.
test.describe.configure({ mode: 'serial' });

const open = async (page: Page, garage: Garage): Promise<void> => void (await page.goto(garage.address));

test('a swing and toe go into the visit, and the table shows what the interface tells', async ({ page, garage, complaints }) => {
  await open(page, garage);
  await begin_visit(page);
  await go_to(page, 'before');

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
  await page.getByTestId('figures-take').click();
  await expect(page.getByTestId('figures-taken')).toBeVisible();

  await start_swing(page);
  await steer_through(page, garage);
  await has_run(garage, 'swing');
  await open_line(page, 'table');
  const told = await visit_of(garage);
  expect(told.findings.map(({ quantity }) => quantity)).toEqual(expect.arrayContaining(['camber', 'caster', 'sai', 'toe', 'total_toe']));
  for (const { quantity, place, stage, value, expanded } of told.findings) {
    const shown = found(page, quantity, place, stage);
    await expect(shown).toHaveAttribute('data-value', String(value));
    await expect(shown).toHaveAttribute('data-expanded', String(expanded));
    await expect(shown).toContainText('±');
  }
  // 81.5 mm behind less 80 mm ahead over the 350 mm flange of the car, by both wheels; the string
  // is outside the wheel, so that less ahead is toe-out.
  const toe = told.findings.find(({ quantity }) => quantity === 'total_toe');
  expect(toe?.value).toBeCloseTo((-2 * Math.asin(1.5 / 350) * 180) / Math.PI, 2);
  await expect(page.getByTestId('verdict-total_toe-front-before')).toHaveAttribute('data-verdict', 'outside');
  await fits_both_ways(page, 'table');
  // The refused length is told on the console by the browser itself.
  expect(complaints.filter((complaint) => !complaint.includes('422'))).toEqual([]);
});

/** Whole minutes of what is written as degrees and minutes. */
function minutes_of(text: string): number {
  const parts = /([+\u2212]?)(\d+)°(\d\d)\u2032/.exec(text)!;
  return (parts[1] === '\u2212' ? -1 : 1) * (60 * Number(parts[2]) + Number(parts[3]));
}

test('angles are shown in degrees and minutes, and in degrees again', async ({ page, garage }) => {
  await open(page, garage);
  const { findings } = await visit_of(garage);
  await open_line(page, 'visit');
  await page.getByTestId('notation-minutes').click();
  await open_line(page, 'table');
  for (const mount of FRONT) {
    for (const quantity of ['camber', 'caster', 'sai']) {
      const { value, expanded } = findings.find((one) => one.quantity === quantity && one.place === mount)!;
      const shown = found(page, quantity, mount);
      const [figure, interval] = await Promise.all(['.found-figure', '.interval'].map((part) => shown.locator(part).first().innerText()));
      expect(Math.abs(minutes_of(figure!) - 60 * value)).toBeLessThanOrEqual(0.5);
      const ceiled = minutes_of(interval!) - 60 * expanded;
      expect(ceiled).toBeGreaterThanOrEqual(-1e-4);
      expect(ceiled).toBeLessThan(1);
    }
  }
  // The choice outlives the page.
  await page.reload();
  await open_line(page, 'visit');
  await expect(page.getByTestId('notation-minutes')).toHaveAttribute('aria-pressed', 'true');
  await page.getByTestId('notation-degrees').click();
  await open_line(page, 'table');
  await expect(found(page, 'camber', 'front_left')).toContainText(/\d\.\d\d°/);
});

test('a run that does not hold is taken back with its reason', async ({ page, garage }) => {
  await open(page, garage);
  await open_line(page, 'table');
  const strings = (await visit_of(garage)).runs.find(({ procedure }) => procedure === 'toe_strings')!;
  await expect(page.getByTestId('table-total_toe')).toBeVisible();
  await page.getByTestId(`take-back-${strings.number}`).click();
  await expect(page.getByTestId('take-back-now')).toBeDisabled();
  await page.getByTestId('take-back-why').fill('a string had slipped');
  await fits_both_ways(page, 'taking back');
  await page.getByTestId('take-back-now').click();
  await expect(page.getByTestId(`run-${strings.number}`)).toHaveAttribute('data-taken-back', 'true');
  await expect(page.getByTestId('table-total_toe')).toHaveCount(0);
  await expect(page.getByTestId('table-caster')).toBeVisible();
});

test('a line that was opened by hand stays open when the visit comes', async ({ page, garage }) => {
  const { id } = await visit_of(garage);
  let let_go = (): void => undefined;
  const held = new Promise<void>((resolve) => (let_go = resolve));
  await page.route(new RegExp(`/api/v1/visits/${id}(\\?|$)`), async (route) => {
    await held;
    await route.continue();
  });
  await open(page, garage);
  const floor = page.getByTestId('line-floor').locator('.line-title');
  await floor.click();
  await expect(floor).toBeHidden();
  let_go();
  await expect(page.getByTestId('visit-at-hand')).toHaveAttribute('data-id', String(id));
  await expect(floor).toBeHidden();
});

test('a visit is put away and taken to hand', async ({ page, garage }) => {
  await open(page, garage);
  const { id } = await visit_of(garage);
  await open_line(page, 'visit');
  await page.getByTestId('visit-note').fill('Steering box was greased.');
  await page.getByTestId('visit-note-keep').click();
  await expect(page.getByTestId('visit-notes')).toContainText('Steering box was greased.');
  await page.getByTestId('visit-put-away').click();
  const at_hand = page.getByTestId('visit-at-hand');
  await expect(at_hand).toHaveAttribute('data-id', '');
  await expect(page.getByTestId('line-table')).toHaveCount(0);
  await open_line(page, 'visit');
  await fits_both_ways(page, 'visits');
  await page.getByTestId(`visit-${id}-to-hand`).click();
  await expect(at_hand).toHaveAttribute('data-id', String(id));
  await open_line(page, 'table');
  await expect(found(page, 'caster', 'front_left')).toBeVisible();
});

test('a closed visit takes nothing more until it is opened again, and its sheet stands', async ({ page, garage, context }) => {
  await open(page, garage);
  const { id, findings } = await visit_of(garage);
  await open_line(page, 'sheet');
  await fits_both_ways(page, 'sheet');
  await page.getByTestId('visit-close').click();
  const at_hand = page.getByTestId('visit-at-hand');
  await expect(at_hand).toHaveAttribute('data-stage', 'closed');
  for (const line of ['figures', 'adjust']) await expect(page.getByTestId(`line-${line}`)).toHaveCount(0);
  await open_line(page, 'table');
  await expect(page.locator('[data-testid^="take-back-"]')).toHaveCount(0);

  await open_line(page, 'sheet');
  const [sheet] = await Promise.all([context.waitForEvent('page'), page.getByTestId('sheet-open').click()]);
  await expect(sheet).toHaveURL(new RegExp(`/sheet/${id}(\\?|$)`));
  const main = sheet.locator('main');
  await expect(main).toContainText('Stoat 1100');
  await expect(main).toContainText('Steering box was greased.');
  await expect(main).toContainText('taken back');
  const caster = findings.find(({ quantity, place }) => quantity === 'caster' && place === 'front_left')!;
  await expect(main).toContainText(`${caster.value.toFixed(2)}°`);
  await sheet.close();

  await page.getByTestId('visit-reopen').click();
  await expect(at_hand).not.toHaveAttribute('data-stage', 'closed');
  await expect(page.getByTestId('line-figures')).toBeVisible();
});

test('a visit is deleted only by the name of its car', async ({ page, garage }) => {
  await open(page, garage);
  const { id } = await visit_of(garage);
  await open_line(page, 'visit');
  await page.getByTestId(`visit-${id}-remove`).click();
  await page.getByTestId('name-ask-field').fill('Stoat');
  await expect(page.getByTestId('name-ask-go')).toBeDisabled();
  await page.getByTestId('name-ask-field').fill('Stoat 1100');
  await page.getByTestId('name-ask-go').click();
  await expect(page.getByTestId(`visit-${id}`)).toHaveCount(0);
  await expect(page.getByTestId('visit-at-hand')).toHaveAttribute('data-id', '');
});
