// A tablet that may look, and is paired when somebody presses a button.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Demo, program, test as base, expect } from '../demo.ts';

const test = base.extend<object, { garage: Demo }>({
  garage: [
    async ({}, use) => {
      const garage = await Demo.start(['--commands', 'paired']);
      await use(garage);
      await garage.kill();
    },
    { scope: 'worker' },
  ],
});

/** The code that the terminal shows. */
const code = (garage: Demo): string => /#pair=(\d{8})/.exec(garage.printed())![1]!;

test('a press is refused, the code is typed in its place, and then it is granted', async ({ page, garage }) => {
  await page.goto(garage.address);
  // Looking is free.
  await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'live');
  // The demonstration steers by itself after a few seconds.
  await page.getByTestId('swing-cancel').click({ timeout: 30_000 });
  const problem = page.getByTestId('problem');
  await expect(problem).toHaveAttribute('data-code', 'not_paired');
  const field = page.getByTestId('pair-code');
  // Typed as it stands on the terminal: parted, and wrong once.
  const right = code(garage);
  const wrong = (right[0] === '0' ? '1' : '0') + right.slice(1);
  await field.fill(`${wrong.slice(0, 4)} ${wrong.slice(4)}`);
  await expect(problem).toContainText('4');
  await expect(problem).toContainText('code');
  await page.waitForTimeout(1100);
  await field.fill(`${right.slice(0, 4)} ${right.slice(4)}`);
  await expect(problem).toHaveAttribute('data-code', 'paired');
  await expect(field).toHaveCount(0);
  await page.getByTestId('swing-cancel').click();
  await expect(page.getByTestId('swing-cancel')).toHaveCount(0);
  await expect(problem).toHaveCount(0);
  const [cookie] = await page.context().cookies();
  expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Strict' });
  expect(await page.evaluate(() => document.cookie)).toBe('');
  const told = await page.evaluate(async () => (await (await fetch('api/v1/pairing')).json()) as { device: { id: number } });
  expect(told.device.id).toBe(1);
});

test('another tablet is refused, and one that brings a code along in the address is paired by it', async ({ browser, garage }) => {
  const context = await browser.newContext();
  const page = await context.newPage();
  // Codes are tried one a second, whoever types them.
  await page.waitForTimeout(1500);
  // The code was used: the page says so and asks for another.
  await page.goto(`${garage.address}/#pair=${code(garage)}`);
  await expect(page.getByTestId('problem')).toContainText('No code is good now');
  await expect(page.getByTestId('pair-code')).toBeVisible();
  expect(page.url()).not.toContain('pair');
  await context.close();
  const fresh = await Demo.start(['--commands', 'paired']);
  try {
    const other = await browser.newPage();
    await other.goto(`${fresh.address}/#pair=${code(fresh)}`);
    await expect(other.getByTestId('problem')).toHaveAttribute('data-code', 'paired');
    expect(other.url()).toBe(`${fresh.address}/`);
    await other.close();
  } finally {
    await fresh.kill();
  }
});

test('a paired tablet sees the others and revokes one, which is refused from then on', async ({ browser }) => {
  const store = mkdtempSync(join(tmpdir(), 'paired-'));
  const garage = await Demo.start(['--commands', 'paired', '--store', store], 'run');
  try {
    const first = await browser.newPage();
    await first.goto(`${garage.address}/#pair=${code(garage)}`);
    await expect(first.getByTestId('problem')).toHaveAttribute('data-code', 'paired');
    // Another one, by the command line on the same machine.
    const token = execFileSync(program(), ['pairing', '--store', store, 'token', 'sold tablet'], { encoding: 'utf8' }).trim();
    const other = { authorization: `Bearer ${token}` };
    const asked = async (): Promise<number> => (await fetch(`${garage.address}/api/v1/swing/cancel`, { method: 'POST', headers: other })).status;
    expect(await asked()).not.toBe(401);
    await first.getByTestId('reach-open').first().click();
    await expect(first.getByTestId('reach')).toContainText('sold tablet');
    await expect(first.getByTestId('revoke-1')).toBeVisible();
    await first.getByTestId('revoke-2').click();
    await expect(first.getByTestId('revoke-2')).toHaveCount(0);
    await expect(first.getByTestId('revoke-1')).toBeVisible();
    expect(await asked()).toBe(401);
    // Who only looks is shown none of it.
    const passer_by = await (await browser.newContext()).newPage();
    await passer_by.goto(garage.address);
    await passer_by.getByTestId('reach-open').first().click();
    await expect(passer_by.getByTestId('reach')).toBeVisible();
    await expect(passer_by.getByTestId('revoke-1')).toHaveCount(0);
    await passer_by.context().close();
    await first.close();
  } finally {
    await garage.kill();
    rmSync(store, { recursive: true });
  }
});
