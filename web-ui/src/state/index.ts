// All state of the page, in one place. Views read it; only the functions here change it.
import { batch, computed, effect, signal } from '@preact/signals';
import { browserWorld } from '../contract/browser';
import { now_ms as clock_ms } from '../contract/clock';
import * as requests from '../contract/requests';
import { cancelSwing, enterPlate, startSwing, type Answer } from '../contract/requests';
import { Follower, type Link } from '../contract/stream';
import type { BodyHeading, FloorHeights, FloorLineRest, MountView, PlateReading, ProblemView, Stage, StateView, SteerSource, ToeEntry } from '../contract/types';
import { isUnderWay, lineAtHand, type Line } from './steps';
import { language } from './language';
import { running } from './levelling';
import type { PlateDraft } from './plates';

/** What the daemon last said; null until the first snapshot. */
export const daemon = signal<StateView | null>(null);

/** State of the event stream. */
export const link = signal<Link>('connecting');

/** The page's own clock, ms; moves four times a second, only so that ages can be shown. */
export const now_ms = signal(clock_ms());

/** When the daemon last gave a sign of life, page clock. */
export const contact_ms = signal<number | null>(null);

/** When the last state arrived, page clock: lets the daemon's clock be carried on between messages. */
const stateAt_ms = signal(0);

/** Seconds since the daemon was last heard. */
export const silence_s = computed(() =>
  contact_ms.value === null ? null : Math.max(0, (now_ms.value - contact_ms.value) / 1000),
);

/** The daemon's clock now, µs, carried on by the page's clock since the last message. */
export const daemonNow_us = computed(() =>
  daemon.value === null ? 0 : daemon.value.now_us + Math.max(0, now_ms.value - stateAt_ms.value) * 1000,
);

/** Values on the page are no longer fresh: the link is gone. */
export const isOld = computed(() => link.value === 'lost');

/** The line the operator opened by hand; null follows the work. */
const opened = signal<Line | null>(null);

/** The part of the visit at hand; null without a visit. */
export const visitStage = signal<Stage | null>(null);

/** The line that is open now. */
export const openLine = computed<Line>(() => opened.value ?? (daemon.value ? lineAtHand(daemon.value, visitStage.value) : 'boards'));

/** A swing is under way: it takes the whole screen. */
export const swingOnStage = computed(() => daemon.value !== null && isUnderWay(daemon.value.swing));

/** A wheel is being turned on its bearing: that takes the whole screen. */
export const runOutOnStage = computed(() => daemon.value !== null && running(daemon.value).length > 0);

/** The one wheel shown at full size, if one was picked. */
export const wheelInFocus = signal<MountView | null>(null);

/** Where the next swing takes its steer angles from. */
export const steerSource = signal<SteerSource>('gyro');

/** The last refused request, until it is put away. */
export const problem = signal<ProblemView | null>(null);

/** A request is on its way: its button waits. */
export const asking = signal(false);

/** Plate readings being typed, by `draftKey`. */
export const plateDrafts = signal<ReadonlyMap<string, PlateDraft>>(new Map());

export function openByHand(line: Line): void {
  opened.value = line;
}

/** The worksheet follows the work again, whatever was opened by hand. */
export function followWork(): void {
  opened.value = null;
}

export function putProblemAway(): void {
  problem.value = null;
}

export function setDraft(key: string, draft: PlateDraft): void {
  plateDrafts.value = new Map(plateDrafts.value).set(key, draft);
}

function take(state: StateView, told_ms: number): void {
  batch(() => {
    const before = daemon.value?.swing;
    // The work moved on: the worksheet follows it again, whatever was opened by hand.
    if (before && (before.run !== state.swing.run || isUnderWay(before) !== isUnderWay(state.swing))) {
      opened.value = null;
    }
    if (before && before.run !== state.swing.run) plateDrafts.value = new Map();
    daemon.value = state;
    stateAt_ms.value = told_ms;
    requests.knowRun(state.run);
  });
}

/** What was told while the first figures are being drawn; null when none is held back, and then nothing is. */
let heldBack: { newest: StateView | null; at_ms: number } | null = { newest: null, at_ms: 0 };

/**
 * The first state is drawn and painted before the next is taken: on a slow tablet every later one
 * would otherwise be drawn first, and the first figure stand there after all of them.
 */
function takeInTurn(state: StateView): void {
  if (heldBack !== null && daemon.value !== null) heldBack = { newest: state, at_ms: clock_ms() };
  else take(state, clock_ms());
}

/** What the daemon told before it is followed. Its age goes on counting from when it was told. */
export const knowFirst = (state: StateView, told_ms: number): void => take(state, told_ms);

/** The first figures are painted: from now on what is told is shown at once. Called once. */
export function letOn(): void {
  const held = heldBack;
  heldBack = null;
  if (held?.newest) take(held.newest, held.at_ms);
}

/** Asks the daemon: buttons wait meanwhile, and what is refused is shown. Was it granted? */
export async function request(ask: () => Promise<Answer<unknown>>): Promise<boolean> {
  asking.value = true;
  const answer = await ask();
  batch(() => {
    asking.value = false;
    problem.value = answer.ok ? null : answer.problem;
  });
  return answer.ok;
}

export const requestStart = (): Promise<boolean> => request(() => startSwing(steerSource.value));
export const requestCancel = (): Promise<boolean> => request(cancelSwing);

export const requestRunOut = (mount: MountView, jacked: boolean): Promise<boolean> => {
  openByHand('run_out');
  return request(() => requests.startRunOut(mount, jacked));
};
export const requestRunOutCancel = (mount: MountView): Promise<boolean> => request(() => requests.cancelRunOut(mount));
export const requestRunOutFinish = (mount: MountView): Promise<boolean> => request(() => requests.finishRunOut(mount));
export const requestRunOutForget = (mount: MountView): Promise<boolean> => request(() => requests.forgetRunOut(mount));
export const requestHeights = (heights: FloorHeights): Promise<boolean> => request(() => requests.setHeights(heights));
export const requestLine = (rest: FloorLineRest): Promise<boolean> => request(() => requests.takeLine(rest));
export const requestFloorForget = (): Promise<boolean> => request(requests.forgetFloor);
export const requestGoOn = (): Promise<boolean> => request(requests.goOn);
export const requestLeaveEarlier = (): Promise<boolean> => request(requests.leaveEarlier);
export const requestToe = (toe: ToeEntry): Promise<boolean> => request(() => requests.setToe(toe));
export const requestBodyHeading = (heading: BodyHeading): Promise<boolean> => request(() => requests.setBodyHeading(heading));

/** Sends readings one after the other and stops at the first that is refused. */
export async function requestPlates(readings: readonly PlateReading[]): Promise<void> {
  for (const reading of readings) {
    if (!(await request(() => enterPlate(reading)))) return;
  }
}

/** Starts following the daemon. Called once. */
export function follow(): void {
  const follower = new Follower(browserWorld, {
    state: takeInTurn,
    link: (value) => (link.value = value),
    contact: (at_ms) => (contact_ms.value = at_ms),
  });
  follower.start();
  let asked = language.peek();
  effect(() => {
    if (language.value === asked) return;
    asked = language.value;
    follower.reopen();
  });
  const tick = (): void => {
    now_ms.value = clock_ms();
    follower.tick();
  };
  setInterval(tick, 250);
  // A tablet that slept or went through the garage looks at once, not when its timers run again.
  const look = (): void => {
    if (document.visibilityState !== 'visible') return;
    now_ms.value = clock_ms();
    follower.look();
  };
  document.addEventListener('visibilitychange', look);
  for (const event of ['online', 'offline']) addEventListener(event, look);
  // A page that was just fetched has asked already.
  addEventListener('pageshow', ({ persisted }) => persisted && look());
}
