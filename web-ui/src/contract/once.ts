// A request that may be made twice without being counted twice.
import type { Answer } from './requests';

/** Bytes of chance: plain HTTP has no `randomUUID`, but every page has these. */
export type Chance = Pick<Crypto, 'getRandomValues'> & Partial<Pick<Crypto, 'randomUUID'>>;

/** A name that nobody else will think of, under which the daemon adds a thing once. */
export function askName(chance: Chance = crypto): string {
  if (typeof chance.randomUUID === 'function') return chance.randomUUID();
  const bytes = chance.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/**
 * Makes a request and, where it did not reach the daemon or its answer was lost, once
 * more under the same name. Only for requests that the daemon adds once by name.
 */
export async function twiceIfLost<T>(request: (name: string) => Promise<Answer<T>>, name: string = askName()): Promise<Answer<T>> {
  const first = await request(name);
  if (first.ok || first.problem.code !== 'unreached') return first;
  return request(name);
}
