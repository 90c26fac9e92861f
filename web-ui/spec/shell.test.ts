// What the service worker keeps, and above all what it never touches.
import { describe, expect, it } from 'vitest';
import { cacheOf, outdated, PREFIX, wayOf, type Shell } from '../src/worker/shell';

const ORIGIN = 'http://localhost:8710';
const shell: Shell = { version: 'b', files: ['', 'assets/index-1.js', 'icon.svg'] };
const way = (path: string, more: { method?: string; mode?: string; origin?: string } = {}) =>
  wayOf(shell, ORIGIN, { method: more.method ?? 'GET', mode: more.mode ?? 'cors', url: `${more.origin ?? ORIGIN}${path}` });

describe('the service worker', () => {
  it.each(['/api/v1/state', '/api/v1/stream', '/api/v1/reach', '/api/v1/visits/1/export.json'])('never touches %s', (path) => {
    for (const mode of ['cors', 'navigate', 'no-cors', 'same-origin']) expect(way(path, { mode })).toBe('pass');
  });

  it('never touches a command, whatever it is sent to', () => {
    for (const method of ['POST', 'PUT', 'DELETE', 'HEAD']) expect(way('/assets/index-1.js', { method })).toBe('pass');
  });

  it('keeps the page and its files and nothing else', () => {
    for (const path of ['/', '/index.html', '/?from=home']) expect(way(path, { mode: 'navigate' })).toBe('page');
    expect(way('/assets/index-1.js')).toBe('file');
    expect(way('/icon.svg')).toBe('file');
    expect(way('/assets/index-2.js')).toBe('pass');
    expect(way('/sheet/3', { mode: 'navigate' })).toBe('pass');
    expect(way('/certificate.crt', { mode: 'navigate' })).toBe('pass');
    expect(way('/icon.svg', { origin: 'http://elsewhere:8710' })).toBe('pass');
  });

  it('throws the caches of other builds away, and nobody else’s', () => {
    expect(outdated(shell, [cacheOf(shell), `${PREFIX}a`, 'somebody-elses'])).toEqual([`${PREFIX}a`]);
  });
});
