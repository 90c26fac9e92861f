// Builds the page once before the tests, for the canned daemon to serve.
import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export const WEB_UI = fileURLToPath(new URL('../../../web-ui', import.meta.url));
export const VITE = `${WEB_UI}/node_modules/vite/bin/vite.js`;

export default function build(): void {
  if (!existsSync(VITE)) throw new Error(`no packages in ${WEB_UI}: npm ci --ignore-scripts there first`);
  execFileSync(process.execPath, [VITE, 'build', '--logLevel', 'warn'], { cwd: WEB_UI, stdio: ['ignore', 'inherit', 'inherit'] });
}
