// Steering swings as a person at the car sees them, to findings that agree with the car's truth.
import { Demo, test as demo_test, type Finding } from '../demo.ts';
import { expect, FRONT, test, type Garage } from '../garage.ts';
import { agrees } from '../judge.ts';
import { digit_height_mm } from '../measure.ts';
import { judge_turns, judge_wheel, steer_through, STOP_MS, swing_phase } from '../swinging.ts';
import { fits_both_ways, open_line, ready, start_swing, UNDER_WAY } from '../worksheet.ts';
import type { Page } from '@playwright/test';

const DONE_MS = 60_000;
const ANGLES = ['camber', 'caster', 'included_angle', 'sai'];

test.use({ opening: { scenario: 'garage-good', speed: 4 } });

/** The figure a person reads must be the one the interface tells. */
async function shows(page: Page, finding: Finding): Promise<void> {
  const shown = page.getByTestId(`finding-${finding.mount}-${finding.angle}`);
  await expect(shown).toHaveAttribute('data-value-deg', String(finding.value_deg));
  await expect(shown).toHaveAttribute('data-expanded-deg', String(finding.expanded_deg));
  const figure = (await shown.locator('.figure').innerText()).replace(/\s/g, '').replace('−', '-');
  expect(Number(figure.replace('°', ''))).toBeCloseTo(finding.value_deg, 1.9);
  expect(figure).toMatch(/^[+-]?\d+\.\d\d°$/);
  await expect(shown).toContainText(finding.sense);
}

interface Told {
  swing: { run: number; phase: string };
  findings: Finding[];
  wheels: { mount: string }[];
}

const told = (garage: Garage) => garage.json<Told>('/api/v1/state');

test('live camber is shown with its sign in words and its uncertainty', async ({ page, garage, complaints }) => {
  await page.goto(garage.address);
  await ready(page);
  await open_line(page, 'camber');
  for (const mount of FRONT) {
    const camber = page.getByTestId(`camber-${mount}`);
    await expect(camber.locator('.sense')).not.toBeEmpty();
    await expect(camber).toContainText(/±\s*\d+\.\d+°/);
    const { camber_deg } = await garage.wheel(mount);
    const [value, expanded] = await Promise.all(['data-value-deg', 'data-expanded-deg'].map(async (name) => Number(await camber.getAttribute(name))));
    expect(Math.abs(value! - camber_deg)).toBeLessThanOrEqual(expanded!);
    expect(expanded).toBeLessThan(0.3);
  }
  await fits_both_ways(page, 'camber');
  expect(complaints).toEqual([]);
});

test('a swing is followed to its findings, which are those of the interface and near the truth', async ({ page, garage, complaints }) => {
  await page.goto(garage.address);
  await ready(page);
  await start_swing(page);
  const { run } = (await told(garage)).swing;
  await expect(page.getByTestId('swing-say')).not.toBeEmpty();
  const steer = page.getByTestId('swing-steer');
  await expect(page.getByTestId('rest-0')).toBeVisible({ timeout: STOP_MS });
  await expect(steer).toBeVisible();
  expect(await digit_height_mm(steer.locator('.figure'))).toBeGreaterThanOrEqual(19);
  await fits_both_ways(page, 'swing');
  await steer_through(page, garage);
  await expect(page.getByTestId('line-findings')).toHaveClass(/line-open/, { timeout: STOP_MS });

  const newest = (await told(garage)).findings.filter((finding) => finding.run === run);
  const found = newest.map(({ mount, angle }) => `${mount} ${angle}`).sort();
  expect(found).toEqual(FRONT.flatMap((mount) => ANGLES.map((angle) => `${mount} ${angle}`)));
  for (const finding of newest) await shows(page, finding);
  for (const mount of FRONT) await judge_wheel(page, garage, mount);
  await fits_both_ways(page, 'findings');

  // Toe-out on turns comes out of the same swing.
  await open_line(page, 'checks');
  await page.getByTestId('check-kind-toe_out_on_turns').click();
  await page.getByTestId('check-of-swing').click();
  await expect(page.getByTestId('check-result')).toHaveAttribute('data-kind', 'toe_out_on_turns');
  await judge_turns(page, garage, 'out of the swing', 0.5);
  expect(complaints).toEqual([]);
});

test('measured toe goes into a swing', async ({ page, garage }) => {
  await page.goto(garage.address);
  await open_line(page, 'swing');
  for (const mount of FRONT) {
    const { toe_deg } = await garage.wheel(mount);
    await page.getByTestId(`toe-deg-${mount}`).fill(toe_deg.toFixed(2).replace('.', ','));
    await page.getByTestId(`toe-standard-${mount}`).fill('0,03');
    await page.getByTestId(`toe-take-${mount}`).click();
    await expect(page.getByTestId(`toe-${mount}`)).toHaveAttribute('data-entered', 'true');
    await expect(page.getByTestId(`toe-${mount}`)).toHaveAttribute('data-toe-deg', String(Number(toe_deg.toFixed(2))));
  }
});

test('a stop that is not far enough is asked to go farther', async ({ page, garage }) => {
  await page.goto(garage.address);
  await start_swing(page);
  await expect(page.getByTestId('rest-0')).toBeVisible({ timeout: STOP_MS });
  await garage.do({ steer_to_deg: 4, over_s: 2 }, { rest_s: 5 });
  await expect(swing_phase(page)).toHaveAttribute('data-phase', 'turning');
  const { swing } = await garage.json<{ swing: { hint: string | null; say: string } }>('/api/v1/state');
  await expect(page.getByTestId('swing-say')).toHaveText(swing.say);
  expect(await page.getByTestId('rest-1').count()).toBe(0);
  await garage.do({ steer_to_deg: 0, over_s: 2 });
  await page.getByTestId('swing-cancel').click();
  await expect(swing_phase(page)).toHaveAttribute('data-phase', 'refused');
});

const slip = (wheel: string) => ({ brake_slip_deg: 1.5, wheel, over_s: 0.5 });

test('one hub that rolled is told with its remedy, and the other wheel stands', async ({ page, garage }) => {
  await page.goto(garage.address);
  await start_swing(page);
  await steer_through(page, garage, [19, -21]);
  await expect(page.getByTestId('rest-2')).toBeVisible({ timeout: STOP_MS });
  await garage.do(slip('front_right'), { steer_to_deg: 0, over_s: 2 });
  await expect(page.getByTestId('line-findings')).toHaveClass(/line-open/, { timeout: DONE_MS });
  // One wheel alone does not tell what the body does.
  await judge_wheel(page, garage, 'front_left', { camber: 0.2, caster: 1.5, sai: 0.6, included_angle: 0.6 });
  for (const angle of ['caster', 'sai', 'included_angle']) await expect(page.getByTestId(`finding-front_right-${angle}`)).toHaveCount(0);
  await expect(page.getByTestId('swing-note').first()).toContainText(/hub .*brake/is);
});

test('of hubs that rolled both only camber is told, and what to do about the rest', async ({ page, garage }) => {
  await page.goto(garage.address);
  await start_swing(page);
  await steer_through(page, garage, [19, -21]);
  await expect(page.getByTestId('rest-2')).toBeVisible({ timeout: STOP_MS });
  await garage.do(slip('front_left'), slip('front_right'), { steer_to_deg: 0, over_s: 2 });
  await expect(page.getByTestId('line-findings')).toHaveClass(/line-open/, { timeout: DONE_MS });
  const notes = page.getByTestId('swing-note');
  await expect(notes).toHaveCount(2);
  for (const note of await notes.all()) await expect(note).toContainText(/hub .*brake/is);
  for (const mount of FRONT) {
    await agrees(`camber ${mount}`, page.getByTestId(`finding-${mount}-camber`), (await garage.wheel(mount)).camber_deg, 0.3);
    await expect(page.getByTestId(`finding-${mount}-caster`)).toHaveCount(0);
  }
});

demo_test('the demonstration drives a swing that is started on the page, and tells the truth beside it', async ({ page, complaints }) => {
  const demo = await Demo.start(['--speed', '4']);
  try {
    await page.goto(demo.address);
    await ready(page);
    await expect(page.getByTestId('scenario')).toContainText(String((await demo.state()).scenario!.seed));
    await start_swing(page);
    await expect(swing_phase(page)).toHaveAttribute('data-phase', UNDER_WAY);
    await expect(page.getByTestId('line-findings')).toHaveClass(/line-open/, { timeout: DONE_MS });
    // Each ± holds its truth 95 times in 100, so of eight not always all.
    await expect(page.locator('[data-testid^="truth-"]')).toHaveCount(FRONT.length * ANGLES.length);
    expect(await page.locator('[data-testid^="truth-"][data-inside="true"]').count()).toBeGreaterThanOrEqual(5);
    // The demonstration starts a swing by itself too: in the same moment, the press is refused with 409.
    expect(complaints.filter((one) => !one.includes('409'))).toEqual([]);
  } finally {
    await demo.kill();
  }
});
