// A simulated car with the daemon listening to it, and hands that do what a test asks for:
// `simulated-garage` takes one request a line (tests/src/hands.rs).
import { spawn, type ChildProcessWithoutNullStreams } from 'node:child_process';
import { existsSync } from 'node:fs';
import { once } from 'node:events';
import { dirname, join } from 'node:path';
import { createInterface, type Interface } from 'node:readline';
import { program, test as base } from './demo.ts';
import { mostly_within } from './judge.ts';

export type Wheel = 'front_left' | 'front_right' | 'rear_left' | 'rear_right';
export type Mount = Wheel | 'body';
export const FRONT: readonly Wheel[] = ['front_left', 'front_right'];
export const WHEELS: readonly Wheel[] = [...FRONT, 'rear_left', 'rear_right'];

/** Which car, and what its daemon is told of it. */
export interface Opening {
  scenario: string;
  /** Texts of the scenario's file that are replaced. */
  changes?: [string, string][];
  seed?: number;
  /** Seconds of the simulation per second. */
  speed: number;
  /** Else the floor is taken for level, to within a degree or so. */
  floor_told?: boolean;
  /** Else nobody knows how the boards sit. */
  seats_told?: boolean;
  arguments?: string[];
}

/** A step as a scenario writes it (docs/SIMULATOR.md). */
export type Step = Record<string, string | number | boolean | readonly number[] | readonly string[]>;

export interface WheelTruth {
  mount: Wheel;
  camber_deg: number;
  toe_deg: number;
  caster_deg: number | null;
  sai_deg: number | null;
  included_deg: number | null;
}

export interface Truth {
  wheels: WheelTruth[];
  stance: {
    front_total_toe_deg: number;
    rear_total_toe_deg: number;
    thrust_deg: number;
    front_setback_deg: number;
    rear_setback_deg: number;
    steering_wheel_deg: number;
    mid_lock_wheel_deg: number;
  };
  floor: { roll_deg: number; pitch_deg: number };
}

export interface PlateReading {
  mount: Wheel;
  plate_deg: number;
  plate_read_deg: number;
}

/** A start on a busy machine. */
const START_MS = 40_000;

function simulator(): string {
  const named = process.env['HUBPLUMB_GARAGE'] ?? join(dirname(program()), 'simulated-garage');
  if (!existsSync(named)) throw new Error(`no simulated garage at ${named}: build it (cargo build -p hubplumb-tests --bins) or name it by HUBPLUMB_GARAGE`);
  return named;
}

export class Garage {
  private answers: AsyncIterator<string>;
  private errors = '';
  address = '';
  seed = 0;

  private constructor(
    private readonly child: ChildProcessWithoutNullStreams,
    lines: Interface,
  ) {
    this.answers = lines[Symbol.asyncIterator]();
    child.stderr.on('data', (bytes: Buffer) => (this.errors += bytes.toString()));
  }

  static async open(opening: Opening): Promise<Garage> {
    const { FORCE_COLOR: _, ...env } = process.env;
    const child = spawn(simulator(), [], { stdio: 'pipe', env: { ...env, HUBPLUMB_BIN: program() } });
    const garage = new Garage(child, createInterface({ input: child.stdout }));
    const late = setTimeout(() => child.kill(), START_MS);
    const { address, seed } = (await garage.asked(opening)) as { address: string; seed: number };
    clearTimeout(late);
    garage.address = address;
    garage.seed = seed;
    return garage;
  }

  /** Sends a line and gives the answer; what is no answer is printed, the seed among it. */
  private async asked(line: unknown): Promise<unknown> {
    this.child.stdin.write(`${JSON.stringify(line)}\n`);
    for (;;) {
      const { value, done } = await this.answers.next();
      if (done) throw new Error(`the simulated garage has ended:\n${this.errors}`);
      if (value.startsWith('{')) return JSON.parse(value);
      console.log(value);
    }
  }

  private async ask<T>(what: string, more: object = {}): Promise<T> {
    return ((await this.asked({ ask: what, ...more })) as { done: T }).done;
  }

  /** Hands do these steps; comes back when they are done. */
  do = (...steps: Step[]): Promise<void> => this.ask('do', { steps });
  truth = (): Promise<Truth> => this.ask('truth');
  plates = (): Promise<PlateReading[]> => this.ask('plates');
  unplug = (mount: Mount): Promise<void> => this.ask('unplug', { mount });
  replug = (mount: Mount): Promise<void> => this.ask('replug', { mount });
  trammel = (front: boolean, diameter_m: number): Promise<{ true_mm: [number, number]; gap_read_mm: number }> => this.ask('trammel', { front, diameter_m });

  /** From strings to the front and rear edge of every rim as somebody reads it, mm. */
  async strings(diameter_m: number, string_m: number): Promise<Record<Wheel, [number, number]>> {
    const read = await this.ask<{ mount: Wheel; read_mm: [number, number] }[]>('strings', { diameter_m, string_m });
    return Object.fromEntries(read.map(({ mount, read_mm }) => [mount, read_mm])) as Record<Wheel, [number, number]>;
  }

  async wheel(mount: Wheel): Promise<WheelTruth> {
    return (await this.truth()).wheels.find((wheel) => wheel.mount === mount)!;
  }

  /** The state that the daemon tells. */
  async json<T>(path: string): Promise<T> {
    return (await (await fetch(`${this.address}${path}`)).json()) as T;
  }

  /** Ends car and daemon; tells of readings that were lost, as on a machine too busy for the speed. */
  async close(): Promise<void> {
    if (this.child.exitCode !== null || this.child.signalCode !== null) return;
    const { boards } = await this.json<{ boards: { mount: string; dropped: number; bad_frames: { reason: string; count: number }[] }[] }>('/api/v1/state');
    for (const { mount, dropped, bad_frames } of boards) {
      const lost = [...bad_frames.map(({ reason, count }) => `${count} ${reason}`), ...(dropped > 0 ? [`${dropped} dropped`] : [])];
      if (lost.length > 0) console.log(`${mount}: ${lost.join(', ')}`);
    }
    const gone = once(this.child, 'exit');
    this.child.stdin.end();
    await gone;
  }
}

/** `opening` is chosen once for a file of tests; its tests share the garage. */
export const test = base.extend<object, { opening: Opening; garage: Garage }>({
  opening: [{ scenario: 'garage-good', speed: 4 }, { option: true, scope: 'worker' }],
  garage: [
    async ({ opening }, use) => {
      const garage = await Garage.open(opening);
      await use(garage);
      await garage.close();
      mostly_within();
    },
    { scope: 'worker' },
  ],
});

export { expect } from '@playwright/test';
