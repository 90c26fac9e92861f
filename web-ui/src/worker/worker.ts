// The service worker (W3C Service Workers): keeps the files of the page, so that it opens without
// the daemon and says so. It keeps nothing else; whatever is live comes from the daemon or not at all.
import { cacheOf, outdated, WAIT_MS, wayOf, type Shell } from './shell';

/** What of the worker's surroundings is used here; the page's own types know another `self`. */
interface Extendable extends Event {
  waitUntil(work: Promise<unknown>): void;
}
interface Fetching extends Extendable {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface Worker {
  readonly location: Location;
  readonly clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(kind: 'install' | 'activate', handler: (event: Extendable) => void): void;
  addEventListener(kind: 'fetch', handler: (event: Fetching) => void): void;
}

/** Written in when the page is built (vite.config.ts). */
declare const __SHELL__: Shell;
const shell = __SHELL__;
const worker = self as unknown as Worker;

worker.addEventListener('install', (event) => {
  event.waitUntil(
    (async () => {
      const cache = await caches.open(cacheOf(shell));
      // Past the browser's own cache, which may still hold the index of another build.
      await cache.addAll(shell.files.map((file) => new Request(`/${file}`, { cache: 'reload' })));
      await worker.skipWaiting();
    })(),
  );
});

worker.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      await Promise.all(outdated(shell, await caches.keys()).map((name) => caches.delete(name)));
      await worker.clients.claim();
    })(),
  );
});

const kept = async (path: string): Promise<Response | undefined> => (await caches.open(cacheOf(shell))).match(path);

async function page(request: Request): Promise<Response> {
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(WAIT_MS) });
    if (answer.ok || answer.type === 'opaqueredirect') return answer;
    return (await kept('/')) ?? answer;
  } catch (error) {
    const found = await kept('/');
    if (found) return found;
    throw error;
  }
}

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const way = wayOf(shell, worker.location.origin, request);
  if (way === 'page') event.respondWith(page(request));
  else if (way === 'file') event.respondWith(kept(new URL(request.url).pathname).then((found) => found ?? fetch(request)));
});
