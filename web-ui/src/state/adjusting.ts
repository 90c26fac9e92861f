// The step on stage as it is heard: the way that is left, and the tone that tells it.
import { computed, effect } from '@preact/signals';
import { adjustingTone, SILENT, type AdjustingTone } from '../sound/adjusting';
import { daemon, daemonNow_us, isOld } from './index';
import { stepOnStage, visit } from './visit';
import { adjustingSound, hum, sound, toneState } from './voice';
import { agedCamber, limitsOf, liveWheel, wayToGo, type Way } from './work';

/** Has the step on stage a value that is live, so that a tone can follow it? */
export const canFollow = computed(() => {
  const step = stepOnStage.value;
  return step !== null && daemon.value !== null && liveWheel(daemon.value.wheels, step.quantity, step.place) !== undefined;
});

/** The way of the live value to the aim of the step on stage; null where there is none, or none of now. */
const liveWay = computed<{ way: Way; expanded: number } | null>(() => {
  const [state, shown, step] = [daemon.value, visit.value, stepOnStage.value];
  if (state === null || shown === null || step === null) return null;
  const wheel = liveWheel(state.wheels, step.quantity, step.place);
  const now = wheel && agedCamber(wheel, daemonNow_us.value, isOld.value);
  if (!now?.live) return null;
  return { way: wayToGo(now.value, now.expanded, step.aim, limitsOf(shown, step)), expanded: now.expanded };
});

/** What the adjusting tone is to sound like now. */
export const tone = computed<AdjustingTone>(() =>
  adjustingSound.at.value === 'on' && stepOnStage.value !== null && liveWay.value !== null ? adjustingTone(liveWay.value.way, liveWay.value.expanded) : SILENT,
);

/** The tone is planned this far ahead, and planned again well before that. */
const AHEAD_S = 0.18;
const AGAIN_MS = 60;

/** Has the tone follow the value. Called once. */
export function followAdjusting(): void {
  let timer: ReturnType<typeof setInterval> | undefined;
  effect(() => {
    const due = adjustingSound.at.value === 'on' && stepOnStage.value !== null && toneState.value === 'ready';
    clearInterval(timer);
    timer = due ? setInterval(() => hum(tone.peek(), AHEAD_S), AGAIN_MS) : undefined;
    // What was begun before a pause is not gone on with.
    if (!due) hum(SILENT, AHEAD_S);
  });
  // A tone that stops because the value is gone says so; silence alone could be anything.
  let was: AdjustingTone['kind'] = 'silent';
  effect(() => {
    const { kind } = tone.value;
    if (kind === 'silent' && was !== 'silent' && adjustingSound.at.peek() === 'on' && stepOnStage.peek() !== null) sound('lost', true);
    was = kind;
  });
}
