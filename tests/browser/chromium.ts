// The browser of the system; none is ever downloaded.
import { existsSync } from 'node:fs';

export function chromium_path(): string {
  const named = process.env['HUBPLUMB_CHROMIUM'];
  const places = [named, '/usr/bin/chromium', '/usr/bin/chromium-browser'];
  const found = places.find((place) => place !== undefined && existsSync(place));
  if (found === undefined) {
    throw new Error('no Chromium: install the package `chromium` or name one by HUBPLUMB_CHROMIUM');
  }
  return found;
}
