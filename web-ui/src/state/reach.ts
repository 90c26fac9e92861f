// The ways in for another tablet, as the panel shows them, and presses that are sent again.
import { effect, signal } from '@preact/signals';
import { ask, onSendingAgain } from '../contract/requests';
import type { KnownDeviceView, ProblemView, ReachView } from '../contract/types';
import { texts } from '../texts';

/** The panel is open. */
export const reachOpen = signal(false);
/** The ways in as last told; null until they were asked for. */
export const reach = signal<ReachView | null>(null);
export const reachProblem = signal<ProblemView | null>(null);
/** The address whose code is drawn, by its place in the list. */
export const chosenWay = signal(0);

/** The paired devices, as one of them is told. */
export const devices = signal<KnownDeviceView[]>([]);

/** How often they are asked for while the panel is open: a name is announced within seconds. */
const AGAIN_MS = 3000;

const DEVICES = 'api/v1/pairing/devices';

async function load(): Promise<void> {
  const [ways, known] = await Promise.all([ask<ReachView>('api/v1/reach'), ask<KnownDeviceView[]>(DEVICES)]);
  if (ways.ok) reach.value = ways.value;
  devices.value = known.ok ? known.value : [];
  reachProblem.value = ways.ok ? null : ways.problem;
}

export async function revoke(id: number): Promise<void> {
  const answer = await ask(`${DEVICES}/${id}`, undefined, 'DELETE');
  await load();
  if (!answer.ok) reachProblem.value = answer.problem;
}

export function openReach(open: boolean): void {
  reachOpen.value = open;
  chosenWay.value = 0;
}

/** What is written on the command line to let others in. The same in every language. */
export const listenOption = (port: string): string => ['--listen', `0.0.0.0:${port}`].join(' ');

/** How many presses are being sent again. */
export const sendingAgain = signal(0);

/** The button that was pressed last: it is the one that shows what becomes of its press. */
let pressed: Element | null = null;

/** Marks the pressed button while its press is sent again; the words are drawn by the style sheet. */
function mark(): void {
  const isAgain = sendingAgain.value > 0;
  const words = texts.reach.sendingAgain;
  for (const old of document.querySelectorAll('[data-again]')) old.removeAttribute('data-again');
  if (isAgain && pressed?.isConnected) pressed.setAttribute('data-again', words);
}

/** Called once. */
export function followReach(): void {
  onSendingAgain((commands) => (sendingAgain.value = commands));
  document.addEventListener('click', (event) => (pressed = (event.target as Element).closest('button')), { capture: true });
  effect(mark);
  effect(() => {
    if (!reachOpen.value) return undefined;
    void load();
    const timer = setInterval(() => void load(), AGAIN_MS);
    return () => clearInterval(timer);
  });
}
