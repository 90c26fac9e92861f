// A press against a network that loses things, with a daemon behind it that does a key once.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { carry, keyHeader, LIMIT_MS, PAUSES_MS, TRY_MS, type Heard, type Line } from '../src/contract/command';

/** What becomes of one try. */
type Loss = 'none' | 'request' | 'answer' | 'late' | 'offline';
const LOSSES: readonly Loss[] = ['none', 'request', 'answer', 'late', 'offline'];

class Garage implements Line {
  time_ms = 0;
  done = 0;
  readonly sent: { key: string; at_ms: number }[] = [];
  readonly told: boolean[] = [];
  private readonly kept = new Set<string>();

  constructor(
    private readonly losses: readonly Loss[],
    private readonly after: Loss = 'none',
    /** How long each pause takes beyond what was asked: the tablet sleeps. */
    private readonly sleeps_ms = 0,
  ) {}

  private arrive(key: string): void {
    if (!this.kept.has(key)) this.done += 1;
    this.kept.add(key);
  }

  send(key: string): Promise<Heard> {
    const loss = this.losses[this.sent.length] ?? this.after;
    this.sent.push({ key, at_ms: this.time_ms });
    if (loss === 'offline') return Promise.resolve({ kind: 'unsent' });
    if (loss !== 'request') this.arrive(key);
    this.time_ms += loss === 'none' ? 20 : loss === 'late' ? TRY_MS : 500;
    return Promise.resolve(loss === 'none' ? { kind: 'answered', status: 200, body: this.done } : { kind: 'lost' });
  }

  now_ms = (): number => this.time_ms;

  pause(ms: number): Promise<void> {
    this.time_ms += ms + this.sleeps_ms;
    return Promise.resolve();
  }

  again(sending: boolean): void {
    this.told.push(sending);
  }
}

describe('a command', () => {
  it('is sent once where nothing is lost, and nobody hears of sending again', async () => {
    const garage = new Garage([]);
    expect(await carry(garage, 'k')).toEqual({ kind: 'answered', status: 200, body: 1 });
    expect(garage.sent).toHaveLength(1);
    expect(garage.told).toEqual([]);
  });

  it('is sent again under the same key, with growing pauses, and that is shown', async () => {
    const garage = new Garage(['request', 'answer', 'late']);
    expect((await carry(garage, 'k')).kind).toBe('answered');
    expect(garage.done).toBe(1);
    expect(garage.sent.map(({ key }) => key)).toEqual(['k', 'k', 'k', 'k']);
    const pauses = garage.sent.slice(1).map(({ at_ms }, nth) => at_ms - (garage.sent[nth]?.at_ms ?? 0));
    expect(pauses).toEqual([500 + (PAUSES_MS[0] ?? 0), 500 + (PAUSES_MS[1] ?? 0), TRY_MS + (PAUSES_MS[2] ?? 0)]);
    expect(garage.told).toEqual([true, false]);
  });

  it.each([
    ['offline', 'not_arrived', 0],
    ['request', 'unknown', 0],
    ['answer', 'unknown', 1],
    ['late', 'unknown', 1],
  ] as const)('whose every try is lost (%s) ends as %s in time', async (loss, kind, done) => {
    const garage = new Garage([], loss);
    expect(await carry(garage, 'k')).toEqual({ kind });
    expect(garage.done).toBe(done);
    expect(garage.time_ms).toBeLessThan(LIMIT_MS + TRY_MS);
    expect(garage.time_ms).toBeGreaterThan(LIMIT_MS / 2);
    expect(garage.told).toEqual([true, false]);
  });

  it('that was in the air once is not said to have stayed at home', async () => {
    expect(await carry(new Garage(['answer'], 'offline'), 'k')).toEqual({ kind: 'unknown' });
  });

  it('is not sent any more when the tablet slept over it', async () => {
    const garage = new Garage([], 'offline', 3_600_000);
    expect(await carry(garage, 'k')).toEqual({ kind: 'not_arrived' });
    expect(garage.sent).toHaveLength(1);
  });

  it('is not sent again where it was refused', async () => {
    const garage = new Garage([]);
    garage.send = () => {
      garage.sent.push({ key: 'k', at_ms: 0 });
      return Promise.resolve({ kind: 'answered', status: 409, body: {} });
    };
    expect(await carry(garage, 'k')).toEqual({ kind: 'answered', status: 409, body: {} });
    expect(garage.sent).toHaveLength(1);
  });

  it('is done exactly once when the page reports success, at most once otherwise, never when it did not arrive', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(fc.constantFrom(...LOSSES), { maxLength: 30 }), fc.constantFrom(...LOSSES), async (losses, after) => {
        const garage = new Garage(losses, after);
        const { kind } = await carry(garage, 'k');
        if (kind === 'answered') expect(garage.done).toBe(1);
        else expect(garage.done).toBeLessThanOrEqual(kind === 'unknown' ? 1 : 0);
        // Nothing is sent when it is over: what the page said stays true.
        expect(garage.sent.every(({ at_ms }) => at_ms < LIMIT_MS)).toBe(true);
      }),
      { numRuns: 500 },
    );
  });
});

describe('the header', () => {
  it('holds the key as a string of a structured field', () => {
    expect(keyHeader('8f14e45f')).toBe('"8f14e45f"');
  });
});
