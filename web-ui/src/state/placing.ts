// Finding and placing boards as the page holds it: is the screen open, what was chosen, what is wished.
import { batch, computed, signal } from '@preact/signals';
import * as requests from '../contract/setup';
import type { AxisName, BoardView } from '../contract/types';
import { daemon, openByHand, request } from './index';
import { firstStep, opensByItself, type FirstChoices } from './first-run';

const FRESH: FirstChoices = { finding: false, again: null, calibrated: false };

/** Opened or closed by hand; null: by itself when nothing is placed. */
const byHand = signal<boolean | null>(null);

export const firstChoices = signal<FirstChoices>(FRESH);

/** Was something placed here? Then it stays until it is done or put away. */
const opened = signal(false);

/** Is the first run on the screen? */
export const firstRunOpen = computed(() => {
  const state = daemon.value;
  if (state === null || state.setup === undefined) return false;
  if (state.setup.naming.mount != null) return true;
  return byHand.value ?? (opened.value || opensByItself(state));
});

export const firstStepNow = computed(() => (daemon.value === null ? 'find' : firstStep(daemon.value, firstChoices.value)));

const choose = (more: Partial<FirstChoices>): void => {
  firstChoices.value = { ...firstChoices.value, ...more };
};

export function openFirstRun(): void {
  batch(() => {
    firstChoices.value = { ...FRESH, finding: true };
    byHand.value = true;
  });
}

export function closeFirstRun(): void {
  batch(() => {
    byHand.value = false;
    opened.value = false;
    openByHand('camber');
  });
}

export const askFaceAgain = (board: string): void => choose({ again: board });
export const calibrateLater = (): void => choose({ calibrated: true });
export const calibrateNow = (): void => choose({ calibrated: false });
export const findAgain = (): void => choose({ finding: true });

export const place = {
  async startNaming(): Promise<void> {
    if (!(await request(() => requests.startNaming()))) return;
    batch(() => {
      opened.value = true;
      firstChoices.value = FRESH;
      if (byHand.value === false) byHand.value = null;
    });
  },
  skip: () => request(() => requests.skipMount()),
  endNaming: () => request(() => requests.endNaming()),
  look: () => request(() => requests.lookAtBluetooth()),
  takeIn: (port: string, name: string | null = null) => request(() => requests.takeIn(port, name)),
  letGo: (board: string) => request(() => requests.letGo(board)),
  takeOff: (board: BoardView) => request(() => requests.seatBoard(board.id, null, null, null)),
  async face(board: BoardView, outboard: AxisName, up: AxisName | null): Promise<void> {
    // Begun on another tablet or before the page was loaded anew: it is gone through here to its end.
    opened.value = true;
    const granted = await request(() => requests.seatBoard(board.id, board.mount, outboard, up));
    if (granted && firstChoices.value.again === board.id) choose({ again: null });
  },
  async practise(): Promise<void> {
    // Relative: the page may lie behind another server's path.
    if (await request(() => requests.startPractice())) location.assign('practice/');
  },
  async endPractice(inside: boolean): Promise<void> {
    if ((await request(() => requests.endPractice())) && inside) location.assign('../');
  },
};
