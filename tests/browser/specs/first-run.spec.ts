// The first run as a person sees it: from a daemon that knows nothing to a live camber, and the practice.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, mkdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { once } from 'node:events';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from '../demo.ts';
import { digit_height_mm } from '../measure.ts';

const PROGRAM = process.env['HUBPLUMB_BIN'] ?? fileURLToPath(new URL('../../../target/debug/hubplumb', import.meta.url));
/** 22 minutes of arc at three metres, the least for reading at ease (ISO 9241 series, from memory). */
const LEGIBLE_MM = 19;
/** How long a start, or the listening that finds out a board's format, may take on a busy machine. */
const START_MS = 60_000;

/** Two boards on a car that rests, each tapped in its turn, for ever. */
const SCENARIO = `
name = "taps"
about = "Two boards that are tapped by turns."
seed = 11
brake = "locked"
script = [
  { rest_s = 5 }, { tap = "front_left" }, { rest_s = 5 }, { tap = "front_right" },
]
[car]
name = "Stoat 1100"
track_mm = 1260
wheelbase_mm = 2180
wheel_radius_mm = 265
[car.front_left]
caster_deg = 3.2
sai_deg = 9.0
camber_deg = -0.8
toe_deg = 0
axis_inboard_mm = 62
[car.front_right]
caster_deg = 3.4
sai_deg = 9.1
camber_deg = 0.6
toe_deg = 0
axis_inboard_mm = 62
[[board]]
mount = "front_left"
mounting = { x = "forward", z = "out" }
lever_mm = [18, 112, 30]
rate_hz = 100
wire = "csv"
chip = { preset = "good" }
[[board]]
mount = "front_right"
mounting = { x = "forward", z = "out" }
lever_mm = [-12, -112, 28]
rate_hz = 100
wire = "csv"
chip = { preset = "good" }
`;
/** What the ports are called: nothing that gives the wheels away. */
const PORTS = { front_left: 'port-b', front_right: 'port-a' } as const;

class Bench {
  private readonly children: ChildProcess[] = [];
  readonly folder = mkdtempSync(join(tmpdir(), 'hubplumb-first-run-'));
  address = '';

  async start(boards: boolean): Promise<void> {
    const at = (name: string) => join(this.folder, name);
    mkdirSync(at('seen'));
    if (boards) {
      writeFileSync(at('taps.toml'), SCENARIO);
      const simulator = join(dirname(PROGRAM), 'hubplumb-sim');
      this.children.push(spawn(simulator, ['run', '--file', at('taps.toml'), '--dir', at('ports'), '--await-readers', '--loop'], { stdio: 'ignore' }));
      for (const [mount, port] of Object.entries(PORTS)) symlinkSync(at(`ports/${mount}`), at(`seen/${port}`));
    }
    const { FORCE_COLOR: _, ...env } = process.env;
    const daemon = spawn(PROGRAM, ['run', '--listen', '127.0.0.1:0', '--commands', 'open', '--ports', at('seen'), '--store', at('store')], { stdio: ['ignore', 'pipe', 'ignore'], env });
    this.children.push(daemon);
    let printed = '';
    // Kept open: a program whose output is closed ends when it has more to say.
    for await (const bytes of daemon.stdout.iterator({ destroyOnReturn: false })) {
      printed += String(bytes);
      const match = /http:\/\/[\w.:[\]]+:\d+/.exec(printed);
      if (match) {
        this.address = match[0];
        daemon.stdout.resume();
        return;
      }
    }
    throw new Error(`the daemon ended before it listened:\n${printed}`);
  }

  async end(): Promise<void> {
    for (const child of this.children) {
      if (child.exitCode !== null || child.signalCode !== null) continue;
      const gone = once(child, 'exit');
      child.kill('SIGKILL');
      await gone;
    }
    rmSync(this.folder, { recursive: true, force: true });
  }
}

test('two boards that nobody named are named by taps and show camber', async ({ page, complaints }) => {
  const bench = new Bench();
  try {
    await bench.start(true);
    await page.goto(bench.address);
    const first = page.getByTestId('first-run');
    await expect(first).toHaveAttribute('data-step', 'find');
    for (const port of Object.values(PORTS)) {
      await expect(page.getByTestId(`found-${port}`)).toHaveAttribute('data-state', 'live', { timeout: START_MS });
    }

    // The taps come by turns. Where the right one comes first, everything is named the wrong way
    // round, and is named again.
    const left = page.getByTestId('named-front_left');
    await expect(async () => {
      if ((await first.getAttribute('data-step')) === 'tap') await page.getByTestId('naming-end').click();
      if ((await first.getAttribute('data-step')) !== 'find') {
        await page.getByTestId('first-away').click();
        await page.getByTestId('boards-details').click();
        await page.getByTestId('place-boards').click();
      }
      await page.getByTestId('first-tap').click();
      await expect(page.getByTestId('naming-mount')).toHaveAttribute('data-mount', 'front_left');
      expect(await digit_height_mm(page.getByTestId('naming-mount'))).toBeGreaterThanOrEqual(LEGIBLE_MM);
      await expect(left).toHaveAttribute('data-board', PORTS.front_left, { timeout: 15_000 });
    }).toPass({ timeout: 90_000 });

    // The next is named without a touch, and then it is asked how they sit.
    await expect(first).toHaveAttribute('data-step', 'face', { timeout: 30_000 });
    for (const mount of ['front_left', 'front_right']) {
      await expect(page.getByTestId('face-board')).toHaveAttribute('data-mount', mount);
      // Up is felt; once it is, the arrows along it are no choice.
      await expect(page.locator('.first-axis')).toHaveCount(4, { timeout: 20_000 });
      await page.getByTestId('outboard-+z').click();
    }
    await page.getByTestId('calibrate-later').click();
    await expect(first).toHaveAttribute('data-step', 'done');
    for (const [mount, truth_deg] of [['front_left', -0.8], ['front_right', 0.6]] as const) {
      const wheel = first.getByTestId(`camber-${mount}`);
      await expect(wheel).toHaveAttribute('data-status', 'known', { timeout: 20_000 });
      const [value_deg, expanded_deg] = await Promise.all([wheel.getAttribute('data-value-deg'), wheel.getAttribute('data-expanded-deg')]);
      expect(Math.abs(Number(value_deg) - truth_deg)).toBeLessThan(Number(expanded_deg));
    }
    await page.getByTestId('first-measure').click();
    await expect(page.getByTestId('line-camber')).toBeVisible();
    await page.reload();
    await expect(page.getByTestId('line-camber')).toBeVisible();
    expect(complaints).toEqual([]);
  } finally {
    await bench.end();
  }
});

test('a practice is started, swings by itself when it is asked to, and is left', async ({ page, complaints }) => {
  const bench = new Bench();
  try {
    await bench.start(false);
    await page.goto(bench.address);
    await page.getByTestId('practise').click();
    await expect(page).toHaveURL(/\/practice\/$/, { timeout: START_MS });
    const banner = page.getByTestId('practice');
    await expect(banner).toHaveAttribute('data-practice', 'inside');
    await expect(page.getByTestId('camber-front_left').first()).toHaveAttribute('data-status', 'known', { timeout: START_MS });
    await page.getByTestId('swing-start').click();
    await expect(page.getByTestId('swing-phase')).toBeVisible();
    await expect(banner).toBeVisible();
    const found = async () => ((await (await fetch(`${bench.address}/practice/api/v1/state`)).json()) as { findings: unknown[] }).findings.length;
    await expect.poll(found, { timeout: 120_000 }).toBeGreaterThan(0);
    const real = (await (await fetch(`${bench.address}/api/v1/state`)).json()) as { findings: unknown[] };
    expect(real.findings).toEqual([]);
    await page.getByTestId('practice-end').click();
    await expect(page).toHaveURL(`${bench.address}/`);
    await expect(page.getByTestId('first-run')).toBeVisible();
    await expect(page.getByTestId('practice')).toHaveCount(0, { timeout: START_MS });
    expect(complaints).toEqual([]);
  } finally {
    await bench.end();
  }
});
