// Starts `hubplumb demo` on a free port, and gives each test a page that must not complain.
import { spawn, type ChildProcess } from 'node:child_process';
import { existsSync } from 'node:fs';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import { test as base, expect } from '@playwright/test';

/** How long a start may take on a busy machine. */
const START_MS = 30_000;

/** The program under test. */
export function program(): string {
  const named = process.env['HUBPLUMB_BIN'] ?? fileURLToPath(new URL('../../target/debug/hubplumb', import.meta.url));
  if (!existsSync(named)) throw new Error(`no program at ${named}: build it (cargo build) or name it by HUBPLUMB_BIN`);
  return named;
}

export class Demo {
  private constructor(
    private readonly child: ChildProcess,
    /** Where its page is: scheme, host and port. */
    readonly address: string,
    /** Everything it printed so far. */
    readonly printed: () => string,
  ) {}

  /** Host and port, to start another one in its place. */
  get listen(): string {
    return new URL(this.address).host;
  }

  /** Starts the demonstration, or with `run` a daemon that listens to boards of the test. */
  static async start(more: readonly string[] = [], command: 'demo' | 'run' = 'demo', listen = '127.0.0.1:0'): Promise<Demo> {
    // The test runner asks its children for colours; the address is read from plain text.
    const { FORCE_COLOR: _, ...env } = process.env;
    // How a browser comes to press buttons is what pairing.spec.ts shows; the others press them.
    const commands = more.includes('--commands') ? [] : ['--commands', 'open'];
    const child = spawn(program(), [command, '--listen', listen, ...commands, ...more], { stdio: ['ignore', 'pipe', 'pipe'], env });
    let printed = '';
    const address = await new Promise<string>((found, failed) => {
      const late = setTimeout(() => failed(new Error(`no address within ${START_MS} ms:\n${printed}`)), START_MS);
      const hear = (bytes: Buffer) => {
        printed += bytes.toString();
        const match = /https?:\/\/[\w.:[\]]+:\d+/.exec(printed);
        if (match) {
          clearTimeout(late);
          found(match[0]);
        }
      };
      child.stdout.on('data', hear);
      child.stderr.on('data', hear);
      child.on('error', failed);
      child.on('exit', (code) => failed(new Error(`ended with ${code} before it listened:\n${printed}`)));
    });
    return new Demo(child, address, () => printed);
  }

  async state(): Promise<State> {
    const answer = await fetch(`${this.address}/api/v1/state`);
    return (await answer.json()) as State;
  }

  /**
   * Gives up the swing that the demonstration starts by itself after a few
   * seconds, so that the worksheet stays on the screen.
   */
  async give_up_first_swing(): Promise<void> {
    await expect.poll(async () => (await this.state()).swing.phase, { timeout: START_MS }).not.toBe('idle');
    const answer = await fetch(`${this.address}/api/v1/swing/cancel`, { method: 'POST' });
    // 409: an earlier test on the same demonstration has seen it to its end.
    expect([200, 409]).toContain(answer.status);
  }

  /** Ends the program at once, as a pulled plug would. */
  async kill(): Promise<void> {
    if (this.child.exitCode === null && this.child.signalCode === null) {
      const gone = once(this.child, 'exit');
      this.child.kill('SIGKILL');
      await gone;
    }
  }
}

/** The parts of the HTTP contract that these tests read. */
export interface Finding {
  run: number;
  mount: string;
  angle: string;
  value_deg: number;
  expanded_deg: number;
  sense: string;
}

export interface State {
  swing: { run: number; phase: string };
  findings: Finding[];
  wheels: { mount: string; camber: { status: string } }[];
  scenario: { seed: number; wheels: { mount: string; camber_deg: number }[] } | null;
  differences: { run: number; angle: string; value_deg: number; expanded_deg: number }[];
}

interface Fixtures {
  /** What the page said on its console that it should not have. */
  complaints: string[];
}

/** `demo` is a demonstration whose worksheet is open: no swing is under way. */
export const test = base.extend<Fixtures, { demo: Demo }>({
  demo: [
    async ({}, use) => {
      const demo = await Demo.start();
      try {
        await demo.give_up_first_swing();
        await use(demo);
      } finally {
        await demo.kill();
      }
    },
    { scope: 'worker' },
  ],
  complaints: async ({ page }, use) => {
    const complaints: string[] = [];
    page.on('console', (message) => {
      if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(String(error)));
    await use(complaints);
  },
});

export { expect };
