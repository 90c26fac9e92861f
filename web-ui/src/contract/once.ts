// Names that nobody else will think of.

/** Bytes of chance: plain HTTP has no `randomUUID`, but every page has these. */
export type Chance = Pick<Crypto, 'getRandomValues'> & Partial<Pick<Crypto, 'randomUUID'>>;

/** A name under which the daemon does a thing once. */
export function askName(chance: Chance = crypto): string {
  if (typeof chance.randomUUID === 'function') return chance.randomUUID();
  const bytes = chance.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
