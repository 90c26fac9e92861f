import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { defineConfig, type Plugin } from 'vite';

/** The service worker's file: at the top, because a worker is in charge of what lies below it. */
const WORKER = 'worker.js';

/** Writes into the service worker which files the page is made of, and a name for just this build. */
function shell(): Plugin {
  let publicDir = 'public';
  return {
    name: 'shell',
    configResolved: (config) => void (publicDir = config.publicDir),
    generateBundle: {
      order: 'post',
      handler(_, bundle) {
        const worker = bundle[WORKER];
        if (worker?.type !== 'chunk') throw new Error(`${WORKER} was not built`);
        if (worker.imports.length > 0) throw new Error(`${WORKER} must stand alone`);
        const copied = readdirSync(publicDir);
        const built = Object.keys(bundle).filter((name) => name !== WORKER && name !== 'index.html');
        const hash = createHash('sha256');
        for (const name of Object.keys(bundle).sort()) {
          const part = bundle[name]!;
          hash.update(name).update(part.type === 'chunk' ? part.code : part.source);
        }
        for (const name of copied) hash.update(name).update(readFileSync(`${publicDir}/${name}`));
        // The index is kept under the address that it is opened at.
        const files = ['', ...built, ...copied].sort();
        const version = hash.digest('hex').slice(0, 16);
        worker.code = worker.code.replaceAll('__SHELL__', JSON.stringify({ version, files }));
      },
    },
  };
}

/** Nothing is painted before the first script ran: an empty frame would only put off the first figures. */
function noEmptyFrame(): Plugin {
  return {
    name: 'no-empty-frame',
    transformIndexHtml: {
      order: 'post',
      handler: (html) => {
        const script = '<script type="module" crossorigin';
        if (!html.includes(script)) throw new Error('index.html has no module script');
        return html.replace(script, `${script} blocking="render"`);
      },
    },
  };
}

// The page is served by the daemon from its own memory: a script and a style sheet for the first figures,
// what they do not need in scripts of its own, names that carry a hash, and nothing from anywhere else.
export default defineConfig({
  base: './',
  // `h` with its children as arguments is smaller than the other form, by a hundredth of the page.
  oxc: { include: /\.tsx$/, jsx: { runtime: 'classic', pragma: 'h', pragmaFrag: 'Fragment' }, jsxInject: "import { h, Fragment } from 'preact'" },
  plugins: [shell(), noEmptyFrame()],
  build: {
    target: 'es2022',
    minify: 'terser',
    terserOptions: { module: true, compress: { passes: 3, pure_getters: true, unsafe_arrows: true } },
    // Tablets of 2021 and newer; light-dark() is told to those that do not know it by variables.
    cssTarget: ['chrome90', 'safari15', 'firefox90'],
    assetsInlineLimit: 0,
    modulePreload: false,
    reportCompressedSize: true,
    rollupOptions: {
      input: { index: 'index.html', worker: 'src/worker/worker.ts' },
      output: { entryFileNames: ({ name }) => (name === 'worker' ? WORKER : 'assets/[name]-[hash].js') },
    },
  },
});
