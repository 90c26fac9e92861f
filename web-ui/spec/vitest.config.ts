import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: { root: '.', include: ['spec/**/*.test.ts'], setupFiles: ['spec/seed.ts'], environment: 'node' },
});
