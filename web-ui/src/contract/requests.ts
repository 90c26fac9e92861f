// The requests the page can make. Each answers with a value or with the problem, never by throwing.
import { spokenCode, texts } from '../texts';
import type { BodyHeading, FloorHeights, FloorLineRest, LevellingView, MountView, PlateReading, ProblemView, StateView, SteerSource, SwingView, ToeEntry } from './types';

export type Answer<T> = { ok: true; value: T } | { ok: false; problem: ProblemView };

const unreached = (): ProblemView => ({ type: '/problems/unreached', status: 0, code: 'unreached', ...texts.problem.unreached });

function isProblem(body: unknown): body is ProblemView {
  return typeof body === 'object' && body !== null && 'title' in body && 'detail' in body;
}

function bareProblem(status: number): ProblemView {
  const { title, detail, remedy } = texts.problem.noReason;
  return { type: '/problems/no-reason', title, status, detail: detail(status), remedy, code: 'no_reason' };
}

export type Method = 'GET' | 'POST' | 'PUT' | 'DELETE';

export async function ask<T>(path: string, body?: unknown, method: Method = body === undefined ? 'GET' : 'POST'): Promise<Answer<T>> {
  // The daemon words its answers, and its refusals, in the language of the page.
  const language = { 'accept-language': spokenCode() };
  const request: RequestInit =
    body === undefined
      ? { method, headers: language }
      : { method, headers: { ...language, 'content-type': 'application/json' }, body: JSON.stringify(body) };
  try {
    const response = await fetch(path, { ...request, signal: AbortSignal.timeout(5000) });
    if (response.status === 204) return { ok: true, value: null as T };
    const answer: unknown = await response.json().catch(() => null);
    if (response.ok && answer !== null) return { ok: true, value: answer as T };
    return { ok: false, problem: isProblem(answer) ? answer : bareProblem(response.status) };
  } catch {
    return { ok: false, problem: unreached() };
  }
}

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
export const setToe = (toe: ToeEntry) => level('toe', toe);
export const setBodyHeading = (heading: BodyHeading) => level('body-heading', heading);

/** Does the daemon answer at all? */
export async function answers(): Promise<boolean> {
  return (await ask('api/v1/health')).ok;
}
