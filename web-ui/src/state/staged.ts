// What takes the whole screen, if anything does. Changes only when it does, not with every reading.
import { computed } from '@preact/signals';
import { benchOnStage } from './calibrating';
import { checkOnStage } from './checking';
import { runOutOnStage, swingOnStage } from './index';
import { stepOnStage } from './visit';

export const onStage = computed(() => {
  if (swingOnStage.value) return 'swing';
  if (runOutOnStage.value) return 'run_out';
  if (checkOnStage.value !== null) return 'check';
  if (benchOnStage.value !== null) return 'bench';
  return stepOnStage.value === null ? null : 'step';
});
