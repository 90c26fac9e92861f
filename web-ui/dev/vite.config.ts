import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';
import { mock } from './mock';

// `npm run dev`: the page with a canned daemon behind it.
export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  plugins: [mock()],
});
