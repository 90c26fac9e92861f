// The requests the page can make. Each answers with a value or with the problem, never by throwing.
// What only asks is asked once; what changes something is carried until it is answered (command.ts).
import { now_ms } from './clock';
import { carry, keyHeader, LIMIT_MS, TRY_MS, type Fate, type Heard } from './command';
import { askName } from './once';
import { spokenCode, texts } from '../texts';
import type { BodyHeading, FloorHeights, FloorLineRest, LevellingView, MountView, PlateReading, ProblemView, StateView, SteerSource, SwingView, ToeEntry } from './types';

export type Answer<T> = { ok: true; value: T } | { ok: false; problem: ProblemView };

const unreached = (): ProblemView => ({ type: '/problems/unreached', status: 0, code: 'unreached', ...texts.problem.unreached });

const notArrived = (): ProblemView => ({ type: '/problems/not_arrived', status: 0, code: 'not_arrived', ...texts.reach.notArrived });

const notKnown = (): ProblemView => {
  const { title, detail, remedy } = texts.reach.notKnown;
  return { type: '/problems/not_known', status: 0, code: 'not_known', title, detail: detail(LIMIT_MS / 1000), remedy };
};

function isProblem(body: unknown): body is ProblemView {
  return typeof body === 'object' && body !== null && 'title' in body && 'detail' in body;
}

function bareProblem(status: number): ProblemView {
  const { title, detail, remedy } = texts.problem.noReason;
  return { type: '/problems/no-reason', title, status, detail: detail(status), remedy, code: 'no_reason' };
}

export type Method = 'GET' | 'POST' | 'PUT' | 'DELETE';

function answerOf<T>(status: number, body: unknown): Answer<T> {
  if (status === 204) return { ok: true, value: null as T };
  if (status >= 200 && status < 300 && body !== null) return { ok: true, value: body as T };
  return { ok: false, problem: isProblem(body) ? body : bareProblem(status) };
}

/** Nothing leaves a tablet without network, save what is meant for the very machine it is. */
const offline = (): boolean => globalThis.navigator?.onLine === false && !['localhost', '127.0.0.1', '[::1]'].includes(location.hostname);

async function send(path: string, request: RequestInit, wait_ms: number): Promise<Heard> {
  const wasOffline = offline();
  try {
    // The daemon words its answers, and its refusals, in the language of the page.
    const headers = { ...(request.headers as Record<string, string> | undefined), 'accept-language': spokenCode() };
    const response = await fetch(path, { ...request, headers, signal: AbortSignal.timeout(wait_ms) });
    const body: unknown = response.status === 204 ? null : await response.json().catch((error: unknown) => {
      // A body that ends in the middle is no answer; one that is no JSON is.
      if (error instanceof SyntaxError) return null;
      throw error;
    });
    return { kind: 'answered', status: response.status, body };
  } catch {
    return wasOffline && offline() ? { kind: 'unsent' } : { kind: 'lost' };
  }
}

/** Waits, but no longer than until the network is back or the tablet is looked at again. */
function pause(ms: number): Promise<void> {
  return new Promise((resolve) => {
    const done = (): void => {
      clearTimeout(timer);
      removeEventListener('online', done);
      resolve();
    };
    const timer = setTimeout(done, ms);
    addEventListener('online', done);
  });
}

/** The run of the daemon that presses are meant for; null until it is known. */
let daemonRun: string | null = null;
export const knowRun = (run: string): void => void (daemonRun = run);

/** Told with how many commands are being sent again at the moment. */
let tellAgain: (commands: number) => void = () => undefined;
export const onSendingAgain = (tell: (commands: number) => void): void => void (tellAgain = tell);
let sentAgain = 0;

async function command<T>(path: string, body: unknown, method: Method): Promise<Answer<T>> {
  const run = daemonRun;
  const headers = (key: string): Record<string, string> => ({
    'idempotency-key': keyHeader(key),
    ...(run === null ? {} : { 'hubplumb-run': run }),
    ...(body === undefined ? {} : { 'content-type': 'application/json' }),
  });
  const text = body === undefined ? {} : { body: JSON.stringify(body) };
  const line = {
    send: (key: string) => send(path, { method, headers: headers(key), ...text }, TRY_MS),
    now_ms,
    pause,
    again: (sending: boolean) => tellAgain((sentAgain += sending ? 1 : -1)),
  };
  return answerToFate(await carry(line, askName()));
}

function answerToFate<T>(fate: Fate): Answer<T> {
  switch (fate.kind) {
    case 'answered':
      return answerOf(fate.status, fate.body);
    case 'not_arrived':
      return { ok: false, problem: notArrived() };
    case 'unknown':
      return { ok: false, problem: notKnown() };
  }
}

/** How long a question may wait for its answer. */
const ASK_MS = 5000;

export async function ask<T>(path: string, body?: unknown, method: Method = body === undefined ? 'GET' : 'POST'): Promise<Answer<T>> {
  if (method !== 'GET') return command(path, body, method);
  const heard = await send(path, { method }, ASK_MS);
  return heard.kind === 'answered' ? answerOf(heard.status, heard.body) : { ok: false, problem: unreached() };
}

export const pair = (code: string): Promise<Answer<unknown>> => ask('api/v1/pairing', { code });

export const fetchState = (): Promise<Answer<StateView>> => ask('api/v1/state');

export const startSwing = (steer_source: SteerSource): Promise<Answer<SwingView>> =>
  ask('api/v1/swing', { steer_source });

export const cancelSwing = (): Promise<Answer<SwingView>> => ask('api/v1/swing/cancel', {});

export const enterPlate = (reading: PlateReading): Promise<Answer<SwingView>> =>
  ask('api/v1/swing/plate', reading);

const level = (path: string, body: unknown): Promise<Answer<LevellingView>> => ask(`api/v1/${path}`, body);

export const startRunOut = (mount: MountView, jacked: boolean) => level('run-out', { mount, jacked });
export const cancelRunOut = (mount: MountView) => level('run-out/cancel', { mount });
export const finishRunOut = (mount: MountView) => level('run-out/finish', { mount });
export const forgetRunOut = (mount: MountView) => level('run-out/forget', { mount });
export const setHeights = (heights: FloorHeights) => level('floor/heights', heights);
export const takeLine = (rest: FloorLineRest) => level('floor/line', rest);
export const forgetFloor = () => level('floor/forget', {});
export const goOn = () => level('levelling/go-on', {});
export const leaveEarlier = () => level('levelling/leave', {});
export const setToe = (toe: ToeEntry) => level('toe', toe);
export const setBodyHeading = (heading: BodyHeading) => level('body-heading', heading);

/** How long the daemon may take to say that it is there. */
const HEALTH_MS = 1500;

/** Does the daemon answer at all? */
export async function answers(): Promise<boolean> {
  const heard = await send('api/v1/health', { method: 'GET' }, HEALTH_MS);
  return heard.kind === 'answered' && heard.status === 200;
}
