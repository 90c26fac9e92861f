// A whole swing as a person at the car sees it.
import type { Page } from '@playwright/test';
import { Demo, expect, test, type Finding } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';
import { open_line, ready, start_swing, UNDER_WAY } from '../worksheet.ts';

const DONE_MS = 150_000;
const ANGLES = ['camber', 'caster', 'included_angle', 'sai'];
const MOUNTS = ['front_left', 'front_right'];

test('live camber is shown with its sign in words and its uncertainty', async ({ page, demo, complaints }) => {
  await page.goto(demo.address);
  await ready(page);
  await open_line(page, 'camber');
  for (const mount of MOUNTS) {
    const camber = page.getByTestId(`camber-${mount}`);
    await expect(camber).toContainText(/top (out|in)|upright/);
    await expect(camber).toContainText(/±\s*\d+\.\d+°/);
    expect(Number(await camber.getAttribute('data-expanded-deg'))).toBeGreaterThan(0);
  }
  await expect(page.getByTestId('scenario')).toContainText(String((await demo.state()).scenario!.seed));
  expect(complaints).toEqual([]);
});

/** The figure a person reads must be the one the interface tells. */
async function shows(page: Page, finding: Finding): Promise<void> {
  const shown = page.getByTestId(`finding-${finding.mount}-${finding.angle}`);
  await expect(shown).toHaveAttribute('data-value-deg', String(finding.value_deg));
  await expect(shown).toHaveAttribute('data-expanded-deg', String(finding.expanded_deg));
  const figure = (await shown.locator('.figure').innerText()).replace(/\s/g, '').replace('−', '-');
  expect(Number(figure.replace('°', ''))).toBeCloseTo(finding.value_deg, 1.9);
  expect(figure).toMatch(/^[+-]?\d+\.\d\d°$/);
  await expect(shown).toContainText(finding.sense);
  await expect(shown).toContainText(/±/);
}

async function with_demo(page: Page, watch: (demo: Demo) => Promise<void>): Promise<void> {
  const demo = await Demo.start();
  try {
    await page.goto(demo.address);
    await ready(page);
    await watch(demo);
  } finally {
    await demo.kill();
  }
}

test('a swing is followed to its findings, which are those of the interface', async ({ page, complaints }) => {
  await with_demo(page, async (demo) => {
    const phase = page.getByTestId('swing-phase').first();
    await expect(phase).toHaveAttribute('data-phase', UNDER_WAY, { timeout: 30_000 });
    const { run } = (await demo.state()).swing;
    await expect(page.getByTestId('swing-say')).not.toBeEmpty();
    const steer = page.getByTestId('swing-steer');
    await expect(steer).toBeVisible();
    expect(await digit_height_mm(steer.locator('.figure'))).toBeGreaterThanOrEqual(19);
    await expect(page.getByTestId('rest-1')).toBeVisible({ timeout: DONE_MS });
    await expect.poll(async () => (await demo.state()).swing.phase, { timeout: DONE_MS }).toBe('done');

    const newest = (await demo.state()).findings.filter((finding) => finding.run === run);
    const found = newest.map(({ mount, angle }) => `${mount} ${angle}`).sort();
    expect(found).toEqual(MOUNTS.flatMap((mount) => ANGLES.map((angle) => `${mount} ${angle}`)));
    await open_line(page, 'findings');
    for (const finding of newest) await shows(page, finding);
    expect(complaints).toEqual([]);
  });
});

test('a swing started on the page at once is driven too', async ({ page, complaints }) => {
  await with_demo(page, async () => {
    await start_swing(page);
    await expect(page.getByTestId('rest-1')).toBeVisible({ timeout: 60_000 });
    expect(complaints).toEqual([]);
  });
});
