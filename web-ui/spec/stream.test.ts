import fc from 'fast-check';
import { beforeEach, describe, expect, it } from 'vitest';
import { caughtUp, leavesGap, withChange } from '../src/contract/merge';
import type { Answer } from '../src/contract/requests';
import { Follower, QUIET_MS, REFETCH_PAUSE_MS, REOPEN_MS, type Link, type World } from '../src/contract/stream';
import type { ChangeView, StateView } from '../src/contract/types';
import { idle, state as scene, wheel } from '../dev/scenes';

/** A state whose wheels and swing both tell which serial they are of. */
function truth(serial: number): StateView {
  return { ...scene(), serial, now_us: serial, wheels: [wheel('front_left', serial, serial)], swing: { ...idle, run: Math.floor(serial / 3) } };
}

/** The change that leads to `serial`: wheels always, the swing only where it moved. */
function changeTo(serial: number): ChangeView {
  const { wheels, swing } = truth(serial);
  return { serial, now_us: serial, wheels, ...(serial % 3 === 0 ? { swing } : {}) };
}

const parts = ({ serial, wheels, swing }: StateView) => ({ serial, wheels, swing });

class FakeWorld implements World {
  time_ms = 1000;
  opened = 0;
  closed = 0;
  fetched = 0;
  asked = 0;
  alive = true;
  private handlers = new Map<string, (event: MessageEvent<string>) => void>();
  private fail: (() => void) | null = null;
  private pending: ((answer: Answer<StateView>) => void)[] = [];
  readonly links: Link[] = [];
  readonly states: StateView[] = [];
  readonly follower = new Follower(this, {
    state: (state) => this.states.push(state),
    link: (link) => this.links.push(link),
    contact: () => undefined,
  });

  open() {
    this.opened += 1;
    const world = this;
    return {
      addEventListener: (kind: string, handler: unknown) => void world.handlers.set(kind, handler as (event: MessageEvent<string>) => void),
      close: () => {
        world.closed += 1;
        world.handlers.clear();
      },
      set onerror(handler: (() => void) | null) {
        world.fail = handler;
      },
    } as ReturnType<World['open']>;
  }

  fetchState(): Promise<Answer<StateView>> {
    this.fetched += 1;
    return new Promise((resolve) => this.pending.push(resolve));
  }

  answers(): Promise<boolean> {
    this.asked += 1;
    return Promise.resolve(this.alive);
  }

  now_ms = () => this.time_ms;

  send(kind: 'snapshot' | 'change', body: StateView | ChangeView): void {
    this.handlers.get(kind)?.({ data: JSON.stringify(body) } as MessageEvent<string>);
  }

  drop(): void {
    this.fail?.();
  }

  async answerFetch(value: StateView | null): Promise<void> {
    const answer: Answer<StateView> = value ? { ok: true, value } : { ok: false, problem: { type: '', title: '', status: 0, detail: '', remedy: '', code: '' } };
    this.pending.splice(0).forEach((resolve) => resolve(answer));
    await settled();
  }

  async pass(ms: number): Promise<void> {
    this.time_ms += ms;
    this.follower.tick();
    await settled();
  }

  get last(): StateView | undefined {
    return this.states.at(-1);
  }
}

const settled = () => new Promise<void>((resolve) => setTimeout(resolve));

describe('merging', () => {
  it('takes sections from the change and leaves the rest', () => {
    const merged = withChange(truth(1), { serial: 2, now_us: 5, wheels: [] });
    expect(merged).toEqual({ ...truth(1), serial: 2, now_us: 5, wheels: [] });
  });

  it('sees a gap exactly when a serial is skipped', () => {
    fc.assert(
      fc.property(fc.nat(1000), fc.integer({ min: 1, max: 50 }), (serial, ahead) => {
        expect(leavesGap(truth(serial), { serial: serial + ahead, now_us: 0 })).toBe(ahead > 1);
      }),
    );
  });

  it('catches up to the truth from any fetched state with the changes since', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 20 }), fc.integer({ min: 0, max: 20 }), fc.nat(5), (at, ahead, before) => {
        const since = Array.from({ length: before + ahead }, (_, nth) => changeTo(at - before + nth + 1));
        expect(parts(caughtUp(truth(at), since))).toEqual(parts(truth(at + ahead)));
      }),
    );
  });
});

describe('follower', () => {
  let world: FakeWorld;
  beforeEach(() => {
    world = new FakeWorld();
    world.follower.start();
  });

  it('is live with the snapshot and follows the changes', () => {
    expect(world.links).toEqual(['connecting']);
    world.send('snapshot', truth(3));
    world.send('change', changeTo(4));
    expect(world.links.at(-1)).toBe('live');
    expect(parts(world.last as StateView)).toEqual(parts(truth(4)));
    expect(world.fetched).toBe(0);
  });

  it('shows a change after a gap at once and fetches the rest', async () => {
    world.send('snapshot', truth(1));
    world.send('change', changeTo(4));
    expect(world.last?.wheels).toEqual(truth(4).wheels);
    expect(world.fetched).toBe(1);
    world.send('change', changeTo(5));
    await world.answerFetch(truth(4));
    expect(parts(world.last as StateView)).toEqual(parts(truth(5)));
  });

  it('tries again after a fetch that failed, but not in a storm', async () => {
    world.send('snapshot', truth(1));
    world.send('change', changeTo(5));
    await world.answerFetch(null);
    await world.pass(REFETCH_PAUSE_MS / 2);
    expect(world.fetched).toBe(1);
    await world.pass(REFETCH_PAUSE_MS / 2);
    expect(world.fetched).toBe(2);
    await world.answerFetch(truth(5));
    expect(parts(world.last as StateView)).toEqual(parts(truth(5)));
  });

  it('drops a change that is older than the state', () => {
    world.send('snapshot', truth(7));
    world.send('change', changeTo(6));
    expect(world.last?.serial).toBe(7);
  });

  it('believes a snapshot with a smaller serial: the daemon started anew', () => {
    world.send('snapshot', truth(500));
    world.send('snapshot', truth(1));
    world.send('change', changeTo(2));
    expect(parts(world.last as StateView)).toEqual(parts(truth(2)));
  });

  it('lets a snapshot overtake a fetch under way', async () => {
    world.send('snapshot', truth(1));
    world.send('change', changeTo(9));
    world.send('snapshot', truth(12));
    await world.answerFetch(truth(9));
    expect(world.last?.serial).toBe(12);
  });

  it('says lost when the stream breaks and opens it again', async () => {
    world.send('snapshot', truth(1));
    world.drop();
    expect(world.links.at(-1)).toBe('lost');
    await world.pass(REOPEN_MS - 1);
    expect(world.opened).toBe(1);
    await world.pass(1);
    expect(world.opened).toBe(2);
    expect(world.links.at(-1)).toBe('lost');
    world.send('snapshot', truth(2));
    expect(world.links.at(-1)).toBe('live');
  });

  it('opens the stream anew when it is wanted in another language, and stays live meanwhile', () => {
    world.send('snapshot', truth(3));
    world.follower.reopen();
    expect([world.opened, world.closed]).toEqual([2, 1]);
    expect(world.links.at(-1)).toBe('live');
    expect(world.last?.serial).toBe(3);
    world.send('snapshot', truth(4));
    world.send('change', changeTo(5));
    expect(parts(world.last as StateView)).toEqual(parts(truth(5)));
    expect(world.fetched).toBe(0);
  });

  it('drops an answer in the old language that comes after the stream was opened anew', async () => {
    world.send('snapshot', truth(1));
    world.send('change', changeTo(5));
    expect(world.fetched).toBe(1);
    world.follower.reopen();
    await world.answerFetch(truth(5));
    expect(parts(world.last as StateView)).toEqual(parts(withChange(truth(1), changeTo(5))));
    world.send('snapshot', truth(6));
    expect(parts(world.last as StateView)).toEqual(parts(truth(6)));
  });

  it('leaves a stream that is lost to be opened in its time', async () => {
    world.send('snapshot', truth(1));
    world.drop();
    world.follower.reopen();
    expect(world.opened).toBe(1);
    await world.pass(REOPEN_MS);
    expect(world.opened).toBe(2);
  });

  it('asks when the stream is quiet, and believes the answer', async () => {
    world.send('snapshot', truth(1));
    await world.pass(QUIET_MS - 1);
    expect(world.asked).toBe(0);
    await world.pass(1);
    expect(world.asked).toBe(1);
    expect(world.links.at(-1)).toBe('live');
    world.alive = false;
    await world.pass(QUIET_MS);
    expect(world.links.at(-1)).toBe('lost');
  });

  it('ends at the truth after any losses once the line is whole', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(fc.constantFrom('arrives', 'lost', 'fetch'), { maxLength: 40 }), async (fates) => {
        const lossy = new FakeWorld();
        lossy.follower.start();
        lossy.send('snapshot', truth(1));
        let serial = 1;
        for (const fate of fates) {
          if (fate === 'fetch') {
            await lossy.pass(REFETCH_PAUSE_MS);
            await lossy.answerFetch(truth(serial));
          } else {
            serial += 1;
            if (fate === 'arrives') lossy.send('change', changeTo(serial));
          }
        }
        serial += 1;
        lossy.send('change', changeTo(serial));
        for (let nth = 0; nth < 3; nth += 1) {
          await lossy.pass(REFETCH_PAUSE_MS);
          await lossy.answerFetch(truth(serial));
        }
        expect(parts(lossy.last as StateView)).toEqual(parts(truth(serial)));
      }),
      { numRuns: 40 },
    );
  });
});
