// Guided checks as the page holds them, and what the operator wishes.
import { batch, computed, signal } from '@preact/signals';
import * as requests from '../contract/checks';
import type { Answer } from '../contract/requests';
import type { CheckFigure } from '../contract/types';
import { checkUnderWay, startOf, type CheckChoice } from './checks';
import { daemon, openByHand } from './index';
import { busy, refused } from './visit';

/** What was chosen for the next check. */
export const checkChoice = signal<CheckChoice>({ kind: 'play', mount: 'front_left', grip: 'top_bottom', turn: 'other_face', by: 'gyro', axle: 'front', edge: 'no', to_left: '+y', ride_height: '' });

/** The check that takes the whole screen. */
export const checkOnStage = computed(() => (daemon.value === null ? null : checkUnderWay(daemon.value)));

async function made(request: Promise<Answer<unknown>>): Promise<boolean> {
  busy.value = true;
  const answer = await request;
  batch(() => {
    busy.value = false;
    if (!answer.ok) refused.value = { by: 'check', problem: answer.problem };
    else if (refused.value?.by === 'check') refused.value = null;
  });
  return answer.ok;
}

export const wishCheck = {
  start: () => {
    openByHand('checks');
    return made(requests.startCheck(startOf(checkChoice.value)));
  },
  turnsOfSwing: () => made(requests.turnsOfSwing()),
  finish: () => made(requests.finishCheck()),
  cancel: () => made(requests.cancelCheck()),
  /** Figures go one after the other; the first that is refused ends it. */
  figures: async (figures: readonly CheckFigure[]): Promise<boolean> => {
    for (const figure of figures) if (!(await made(requests.typeCheckFigure(figure)))) return false;
    return true;
  },
};
