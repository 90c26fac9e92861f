// The real program with four boards at 100 readings a second each, on the simulator's ports.
import { spawn, type ChildProcess } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const MOUNTS = ['front_left', 'front_right', 'rear_left', 'rear_right'] as const;
const START_MS = 60_000;

/** Left boards hang with Y down, right ones with Y up: X forward and Z outward on both sides. */
const board = (ports: string, mount: (typeof MOUNTS)[number]) => `
[[board]]
name = "${mount.replace('_', ' ')}"
port = "${join(ports, mount)}"
mount = "${mount}"
format = "csv"
chip = "good"
[board.mounting]
outboard = "+z"
up = "${mount.endsWith('left') ? '-y' : '+y'}"
`;

export class FourBoards {
  private constructor(
    private readonly folder: string,
    private readonly children: readonly ChildProcess[],
    readonly address: string,
  ) {}

  static async start(): Promise<FourBoards> {
    const program = process.env['HUBPLUMB_BIN'] ?? fileURLToPath(new URL('../../../target/debug/hubplumb', import.meta.url));
    const simulator = join(dirname(program), 'hubplumb-sim');
    for (const needed of [program, simulator]) if (!existsSync(needed)) throw new Error(`no program at ${needed}: cargo build --bins`);
    const folder = mkdtempSync(join(tmpdir(), 'hubplumb-pace-'));
    const ports = join(folder, 'ports');
    const scenario = fileURLToPath(new URL('four-boards.toml', import.meta.url));
    const sim = spawn(simulator, ['run', '--file', scenario, '--dir', ports, '--loop'], { stdio: 'ignore' });
    const children = [sim];
    const began_ms = Date.now();
    const late = () => Date.now() - began_ms > START_MS;
    while (!MOUNTS.every((mount) => existsSync(join(ports, mount)))) {
      if (late() || sim.exitCode !== null) throw new Error('the simulator opened no ports');
      await new Promise((done) => setTimeout(done, 50));
    }
    const config = join(folder, 'car.toml');
    writeFileSync(config, MOUNTS.map((mount) => board(ports, mount)).join(''));
    const { FORCE_COLOR: _, ...env } = process.env;
    const daemon = spawn(program, ['run', '--config', config, '--listen', '127.0.0.1:0', '--commands', 'open', '--store', join(folder, 'store')], { stdio: ['ignore', 'pipe', 'pipe'], env });
    children.push(daemon);
    let printed = '';
    for (const stream of [daemon.stdout, daemon.stderr]) stream.on('data', (bytes: Buffer) => (printed += bytes.toString()));
    const told = () => /http:\/\/[\w.:[\]]+:\d+/.exec(printed)?.[0];
    while (told() === undefined) {
      if (late() || daemon.exitCode !== null) throw new Error(`the daemon does not listen:\n${printed}`);
      await new Promise((done) => setTimeout(done, 50));
    }
    const started = new FourBoards(folder, children, told() ?? '');
    // Every wheel has a figure, so that nothing of the start is measured.
    for (;;) {
      const answer = await fetch(`${started.address}/api/v1/state`);
      const { wheels } = (await answer.json()) as { wheels: { camber: { status: string } }[] };
      if (wheels.length === MOUNTS.length && wheels.every(({ camber }) => camber.status === 'known')) return started;
      if (late()) throw new Error(`not every wheel has its camber:\n${printed}`);
      await new Promise((done) => setTimeout(done, 200));
    }
  }

  stop(): void {
    for (const child of this.children) child.kill('SIGKILL');
    rmSync(this.folder, { recursive: true, force: true });
  }
}
