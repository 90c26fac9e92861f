// Adjusting: a step fills the screen with the live wheel, hands move the adjuster until the page says it is there,
// the move is noted, and what is measured again agrees with the car as it is then.
import type { Page } from '@playwright/test';
import { expect, FRONT, test, type Garage } from '../garage.ts';
import { agrees, within } from '../judge.ts';
import { digit_height_mm } from '../measure.ts';
import { steer_through, STOP_MS } from '../swinging.ts';
import { begin_visit, found, go_to, has_run, visit_of } from '../visiting.ts';
import { fits_both_ways, open_line, start_swing } from '../worksheet.ts';

test.use({
  // Five boards at four times their rate are more than two processors should have to bear.
  opening: { scenario: 'bent-knuckle', speed: 4, changes: [['rate_hz = 100', 'rate_hz = 50']] },
});

async function swing(page: Page, garage: Garage): Promise<void> {
  const before = (await visit_of(garage)).runs.filter(({ procedure }) => procedure === 'swing').length;
  await start_swing(page);
  await steer_through(page, garage);
  await has_run(garage, 'swing', before);
}

async function judge(page: Page, garage: Garage, stage: string): Promise<void> {
  await open_line(page, 'table');
  for (const mount of FRONT) {
    const truth = await garage.wheel(mount);
    await agrees(`${stage} camber ${mount}`, found(page, 'camber', mount, stage), truth.camber_deg, 0.2);
    await agrees(`${stage} caster ${mount}`, found(page, 'caster', mount, stage), truth.caster_deg!, 0.6);
    await agrees(`${stage} SAI ${mount}`, found(page, 'sai', mount, stage), truth.sai_deg!, 0.6);
    await agrees(`${stage} included angle ${mount}`, found(page, 'included_angle', mount, stage), truth.included_deg!, 0.6);
  }
}

/** A ± of the live value that only a car at rest has, degrees; while it moves it is half as much again. */
const AT_REST_DEG = 0.09;

/** The value that is read from under the car, once the car has come to rest. */
async function judge_live(page: Page, garage: Garage): Promise<void> {
  const read = () =>
    page.getByTestId('work-value').evaluate((element: HTMLElement) => ({ value: Number(element.dataset['value']), expanded: Number(element.dataset['expanded']) }));
  await expect.poll(async () => (await read()).expanded, { timeout: STOP_MS }).toBeLessThan(AT_REST_DEG);
  within('live camber', await read(), (await garage.wheel('front_left')).camber_deg, AT_REST_DEG);
}

test('a bent car is measured, understood, adjusted by the live value and measured again', async ({ page, garage, complaints }) => {
  await page.goto(garage.address);
  await begin_visit(page);
  await go_to(page, 'before');
  await swing(page, garage);
  await judge(page, garage, 'before');
  await expect(page.getByTestId('verdict-camber-front_left-before')).toHaveAttribute('data-verdict', 'outside');
  await expect(page.getByTestId('verdict-camber-front_right-before')).toHaveAttribute('data-verdict', 'inside');
  await open_line(page, 'meaning');
  await expect(page.locator('[data-testid^="candidate-knuckle_left"]')).toBeVisible();
  await fits_both_ways(page, 'meaning');

  await open_line(page, 'adjust');
  await page.getByTestId('go-on-adjusting').click();
  const step = page.getByTestId('step-camber-front_left');
  await expect(step).toHaveAttribute('data-adjuster', 'upper arm shims');
  await fits_both_ways(page, 'steps');
  await page.getByTestId('step-open-camber-front_left').click();
  const value = page.getByTestId('work-value');
  expect(await digit_height_mm(value.locator('.figure'))).toBeGreaterThanOrEqual(40);
  await fits_both_ways(page, 'a step');
  const way = page.getByTestId('way');
  await expect(way).toHaveAttribute('data-way', 'go');
  await judge_live(page, garage);

  // Shims under both bolts, as the step advises, with the live value in sight.
  const advised = (await visit_of(garage)).work.find(({ quantity, place }) => quantity === 'camber' && place === 'front_left')!;
  const [front_mm, rear_mm] = [advised.amount![0]![0]!, advised.amount![1]![0]!];
  await garage.do(
    { adjust: 'front_shim', wheel: 'front_left', by: front_mm, over_s: 2 },
    { adjust: 'rear_shim', wheel: 'front_left', by: rear_mm, over_s: 2 },
    { bounce_s: 2 },
  );
  await expect(way).toHaveAttribute('data-way', /^(there|enough)$/, { timeout: STOP_MS });
  await judge_live(page, garage);
  await fits_both_ways(page, 'a step that is there');

  await page.getByTestId('work-moved').click();
  await page.getByTestId('moved-amount-0').fill(front_mm.toFixed(2).replace('.', ','));
  await page.getByTestId('moved-amount-1').fill(rear_mm.toFixed(2));
  for (const seen of ['locked', 'torqued', 'settled']) await page.getByTestId(`moved-${seen}`).click();
  await fits_both_ways(page, 'a move');
  await page.getByTestId('moved-keep').click();
  await expect(page.getByTestId('measure-again')).toBeVisible();
  const [move] = (await visit_of(garage)).moves;
  expect(move).toMatchObject({ adjuster: 'upper arm shims', corner: 'front_left', seen_to: ['locked', 'torqued', 'settled'] });
  await page.getByTestId('work-again').click();
  // Camber is measured where it is live; the swing tells it too.
  await expect(page.getByTestId('line-camber')).toHaveClass(/line-at-hand/);

  await go_to(page, 'after');
  await swing(page, garage);
  await judge(page, garage, 'after');
  await expect(page.getByTestId('verdict-camber-front_left-after')).toHaveAttribute('data-verdict', 'inside');
  await fits_both_ways(page, 'before and after');
  expect(complaints).toEqual([]);
});
