// Making ready: every point with its cautions, and the state of the car entered at the point it belongs to.
import { expect, test, WHEELS } from '../garage.ts';
import { begin_visit, visit_of } from '../visiting.ts';
import { fits, fits_both_ways, open_line } from '../worksheet.ts';

test.use({ opening: { scenario: 'garage-good', speed: 1 } });
// One visit that is made ready.
test.describe.configure({ mode: 'serial' });

test('every point is seen to, one after the other, and one is undone', async ({ page, garage, complaints }) => {
  await page.goto(garage.address);
  await begin_visit(page);
  await open_line(page, 'prepare');
  const { preparation } = await visit_of(garage);
  expect(preparation.length).toBeGreaterThan(5);
  expect(preparation.some(({ cautions }) => cautions.length > 0)).toBe(true);
  for (const { point, cautions } of preparation) {
    // The first that is open is open by itself; its cautions stand with it.
    const tick = page.getByTestId(`tick-${point}`);
    await expect(tick).toBeVisible();
    for (const caution of cautions) await expect(page.getByTestId(`point-${point}`)).toContainText(caution);
    await fits(page, point);
    await page.getByTestId(`note-${point}`).fill(`${point}: seen to`);
    await tick.click();
    await expect(page.getByTestId(`point-${point}`)).toHaveAttribute('data-done', 'true');
  }
  await expect(page.getByTestId('prepare-line')).toHaveAttribute('data-done', String(preparation.length));
  for (const { point, done_at, note } of (await visit_of(garage)).preparation) {
    expect(done_at, point).not.toBeNull();
    expect(note).toBe(`${point}: seen to`);
  }
  const [first] = preparation;
  await page.getByTestId(`open-${first!.point}`).click();
  await page.getByTestId(`tick-${first!.point}`).click();
  await expect(page.getByTestId(`point-${first!.point}`)).toHaveAttribute('data-done', 'false');
  expect((await visit_of(garage)).preparation[0]!.done_at).toBeNull();
  expect(complaints).toEqual([]);
});

test('the state of the car is entered, and what is off its data is named', async ({ page, garage }) => {
  await page.goto(garage.address);
  await open_line(page, 'prepare');
  const off = page.getByTestId('conditions-off');
  const at = async (point: string): Promise<void> => {
    const title = page.getByTestId(`open-${point}`);
    if ((await title.getAttribute('aria-expanded')) !== 'true') await title.click();
    await expect(page.getByTestId(`conditions-${point}`)).toBeVisible();
  };
  const type = async (group: string, texts: readonly string[]): Promise<void> => {
    for (const [nth, wheel] of WHEELS.entries()) await page.getByTestId(`condition-${group}.${wheel}`).fill(texts[nth]!);
  };

  await at('tyres');
  await type('tyre_kpa', ['182,5', '180', '19O', '150']);
  // An O for a zero is no figure.
  await expect(page.getByTestId('condition-tyre_kpa.rear_left')).toHaveAttribute('aria-invalid', 'true');
  await expect(page.getByTestId('conditions-keep-tyres')).toBeDisabled();
  await page.getByTestId('condition-tyre_kpa.rear_left').fill('190');
  await fits_both_ways(page, 'tyres');
  await page.getByTestId('conditions-keep-tyres').click();
  await expect.poll(async () => (await visit_of(garage)).conditions?.tyre_kpa).toEqual({ front_left: 182.5, front_right: 180, rear_left: 190, rear_right: 150 });
  const with_one_off = Number(await off.getAttribute('data-off'));
  expect(with_one_off).toBeGreaterThan(0);

  await at('tread');
  await type('tread_mm', ['6', '5,5', '6', '6']);
  await page.getByTestId('conditions-keep-tread').click();
  await expect.poll(async () => (await visit_of(garage)).conditions?.tread_mm?.['front_right']).toBe(5.5);

  await at('ride_heights');
  await type('ride_height_mm', ['352', '353', '361', '360']);
  await page.getByTestId('conditions-keep-ride_heights').click();
  await at('load');
  await page.getByTestId('condition-place_c').fill('17,5');
  await page.getByTestId('condition-load').fill('empty, half a tank');
  await page.getByTestId('conditions-keep-load').click();
  await expect.poll(async () => (await visit_of(garage)).conditions?.load).toBe('empty, half a tank');

  // What was entered before stays, and one figure put right leaves nothing off.
  await at('tyres');
  await expect(page.getByTestId('condition-tyre_kpa.front_left')).toHaveValue('182.5');
  await page.getByTestId('condition-tyre_kpa.rear_right').fill('190');
  await page.getByTestId('condition-tyre_kpa.front_left').fill('180');
  await page.getByTestId('conditions-keep-tyres').click();
  await expect(off).toHaveAttribute('data-off', '0');
  const { conditions } = await visit_of(garage);
  expect(conditions).toEqual({
    tyre_kpa: { front_left: 180, front_right: 180, rear_left: 190, rear_right: 190 },
    tread_mm: { front_left: 6, front_right: 5.5, rear_left: 6, rear_right: 6 },
    ride_height_mm: { front_left: 352, front_right: 353, rear_left: 361, rear_right: 360 },
    load: 'empty, half a tank',
    place_c: 17.5,
  });
  await page.getByTestId('go-on-before').click();
  await expect(page.getByTestId('visit-at-hand')).toHaveAttribute('data-stage', 'before');
});
