// Follows the daemon: a snapshot, then changes, over one event stream.
//
// A gap in the serial numbers means a message was lost: the change is shown at
// once (its sections are whole) and the state is fetched anew for the rest.
// A stream that has gone quiet proves nothing (a bench without boards is
// quiet), so silence is settled by asking whether the daemon answers.
import type { Answer } from './requests';
import { caughtUp, leavesGap, withChange } from './merge';
import type { ChangeView, StateView } from './types';

export type Link = 'connecting' | 'live' | 'lost';

/** The outside world, given in so that a test can play it. */
export interface World {
  open(): Pick<EventSource, 'addEventListener' | 'close' | 'onerror'>;
  fetchState(): Promise<Answer<StateView>>;
  answers(): Promise<boolean>;
  now_ms(): number;
}

/** What the page wants to know; `contact` is called whenever the daemon gave a sign of life. */
export interface Listener {
  state(state: StateView): void;
  link(link: Link): void;
  contact(at_ms: number): void;
}

/** Quiet for this long: ask whether the daemon still answers. */
export const QUIET_MS = 3000;
/** Least time between two fetches of the whole state, so that a lossy line is not made worse. */
export const REFETCH_PAUSE_MS = 1000;
/** Pause before the stream is opened again. */
export const REOPEN_MS = 1000;

export class Follower {
  private source: ReturnType<World['open']> | null = null;
  private state: StateView | null = null;
  private heard_ms = 0;
  private lost_ms: number | null = null;
  private refetched_ms = Number.NEGATIVE_INFINITY;
  private gapOpen = false;
  private asking = false;
  /** Changes that arrived while the state was being fetched; null when no fetch is under way. */
  private since: ChangeView[] | null = null;

  constructor(
    private readonly world: World,
    private readonly listener: Listener,
  ) {}

  start(): void {
    this.listener.link('connecting');
    this.open();
  }

  stop(): void {
    this.source?.close();
    this.source = null;
  }

  /**
   * Opens the stream anew, because it is wanted otherwise (in another language). What is shown
   * stays until the snapshot comes; an answer that is still on its way is of the old kind and dropped.
   */
  reopen(): void {
    if (this.source === null) return; // it is opened anew in any case
    this.stop();
    this.since = null;
    this.gapOpen = false;
    this.open();
  }

  /** To be called a few times a second: everything that depends on time passing happens here. */
  tick(): void {
    const now_ms = this.world.now_ms();
    if (this.source === null && this.lost_ms !== null && now_ms - this.lost_ms >= REOPEN_MS) this.open();
    if (this.gapOpen) this.closeGap();
    if (this.source !== null && now_ms - this.heard_ms >= QUIET_MS) void this.settleSilence();
  }

  private open(): void {
    this.heard_ms = this.world.now_ms();
    const source = this.world.open();
    this.source = source;
    source.addEventListener('snapshot', (event) => this.onSnapshot(event as MessageEvent<string>));
    source.addEventListener('change', (event) => this.onChange(event as MessageEvent<string>));
    source.onerror = () => {
      if (this.source === source) this.lose();
    };
  }

  private lose(): void {
    this.stop();
    this.lost_ms = this.world.now_ms();
    this.listener.link('lost');
  }

  private heard(): void {
    this.heard_ms = this.world.now_ms();
    this.lost_ms = null;
    this.listener.contact(this.heard_ms);
    this.listener.link('live');
  }

  /** A snapshot is always believed: after a restart of the daemon its serial starts again. */
  private onSnapshot(event: MessageEvent<string>): void {
    this.gapOpen = false;
    this.since = null;
    this.heard();
    this.publish(JSON.parse(event.data) as StateView);
  }

  private onChange(event: MessageEvent<string>): void {
    const change = JSON.parse(event.data) as ChangeView;
    this.heard();
    this.since?.push(change);
    const state = this.state;
    if (state === null) {
      this.gapOpen = true;
    } else if (change.serial > state.serial) {
      if (leavesGap(state, change)) this.gapOpen = true;
      this.publish(withChange(state, change));
    }
    if (this.gapOpen) this.closeGap();
  }

  private closeGap(): void {
    const now_ms = this.world.now_ms();
    if (this.since !== null || now_ms - this.refetched_ms < REFETCH_PAUSE_MS) return;
    this.refetched_ms = now_ms;
    this.gapOpen = false;
    const since: ChangeView[] = [];
    this.since = since;
    void this.world.fetchState().then((answer) => {
      // A snapshot came in between: it is newer than what was asked for.
      if (this.since !== since) return;
      this.since = null;
      if (answer.ok) this.publish(caughtUp(answer.value, since));
      else this.gapOpen = true;
    });
  }

  private async settleSilence(): Promise<void> {
    if (this.asking) return;
    this.asking = true;
    const alive = await this.world.answers();
    this.asking = false;
    if (this.source === null) return;
    if (!alive) this.lose();
    else if (this.state !== null) this.heard();
    else this.heard_ms = this.world.now_ms();
  }

  private publish(state: StateView): void {
    this.state = state;
    this.listener.state(state);
  }
}
