// Keeps the tablet's screen on while a swing is under way, where the browser allows it.
import { effect } from '@preact/signals';
import { swingOnStage } from './index';

export function stayAwake(): void {
  if (!('wakeLock' in navigator)) return; // plain http on some networks: the tablet's own setting rules
  let lock: Promise<WakeLockSentinel | null> | null = null;
  effect(() => {
    const wanted = swingOnStage.value;
    if (wanted && !lock) lock = navigator.wakeLock.request('screen').catch(() => null);
    if (!wanted && lock) {
      void lock.then((held) => held?.release());
      lock = null;
    }
  });
}
