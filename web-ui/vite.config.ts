import { defineConfig } from 'vite';

// The page is served by the daemon from its own memory: one script, one style
// sheet, names that carry a hash, and nothing fetched from anywhere else.
export default defineConfig({
  base: './',
  build: {
    target: 'es2022',
    // Tablets of 2021 and newer; light-dark() is told to those that do not know it by variables.
    cssTarget: ['chrome90', 'safari15', 'firefox90'],
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
  },
});
