// What the service worker does with a request. Pure, so that it is tried without a browser.

/** The files the page is made of, and a name that changes when one of them does. */
export interface Shell {
  version: string;
  files: readonly string[];
}

export type Way =
  /** Let through untouched: live values, commands, sheets and exports are never kept. */
  | 'pass'
  /** The page itself: from the daemon if it answers, else the kept one. */
  | 'page'
  /** A file of the kept page: its name changes with its content. */
  | 'file';

/** Caches of ours begin with this, whatever build they are of. */
export const PREFIX = 'hubplumb-page-';

export const cacheOf = (shell: Shell): string => `${PREFIX}${shell.version}`;

/** Caches of other builds. */
export const outdated = (shell: Shell, names: readonly string[]): string[] => names.filter((name) => name.startsWith(PREFIX) && name !== cacheOf(shell));

/** How long the daemon has for the page before the kept one is shown. */
export const WAIT_MS = 3000;

export function wayOf(shell: Shell, origin: string, request: { method: string; url: string; mode: string }): Way {
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== origin) return 'pass';
  const path = url.pathname.slice(1);
  if (path.startsWith('api/')) return 'pass';
  if (request.mode === 'navigate') return path === '' || path === 'index.html' ? 'page' : 'pass';
  return shell.files.includes(path) ? 'file' : 'pass';
}
