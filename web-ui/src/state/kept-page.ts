// Whether the browser keeps the page, so that it opens without the daemon (src/worker).
import { effect, signal } from '@preact/signals';
import { now_ms } from '../contract/clock';
import type { Texts } from '../texts/shape';
import { contact_ms, link } from './index';

/** How it stands with keeping the page; a word for each is in the texts. */
export type Kept = keyof Texts['reach']['kept'];

export const keptPage = signal<Kept>('starting');

/** The daemon has a page of another build, and it is kept already: this one should be loaded anew. */
export const newerPage = signal(false);

/** So soon after the first contact nothing was typed yet that loading anew could lose. */
const FRESH_MS = 10_000;

export const loadNewer = (): void => location.reload();

/** Did the page open without the daemon, and has only just met it? Then a newer one may simply take its place. */
function isUntouched(openedAlone: boolean, met_ms: number | null): boolean {
  return openedAlone && met_ms !== null && now_ms() - met_ms < FRESH_MS;
}

/** Has the browser keep the page, where it does such a thing. Called once. */
export function keepPage(): void {
  if (!isSecureContext) {
    keptPage.value = 'insecure';
    return;
  }
  if (!('serviceWorker' in navigator)) {
    keptPage.value = 'unsupported';
    return;
  }
  const { serviceWorker } = navigator;
  let openedAlone = false;
  let met_ms: number | null = null;
  let isFirst = serviceWorker.controller === null;
  serviceWorker.addEventListener('controllerchange', () => {
    if (isFirst) isFirst = false;
    else if (isUntouched(openedAlone, met_ms)) loadNewer();
    else newerPage.value = true;
  });
  void serviceWorker.ready.then(() => (keptPage.value = 'kept'));
  serviceWorker.register('worker.js').then(
    (registration) => {
      // Every contact may be with a daemon of another build than the one before.
      effect(() => {
        if (link.value === 'live') void registration.update().catch(() => undefined);
      });
    },
    () => (keptPage.value = 'failed'),
  );
  effect(() => {
    if (link.value === 'lost' && contact_ms.peek() === null) openedAlone = true;
    if (link.value === 'live') met_ms ??= now_ms();
  });
}
