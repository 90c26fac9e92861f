// The dashboard in a real browser, against the real program with its simulated car.
import { defineConfig } from '@playwright/test';
import { chromium_path } from './chromium.ts';

export default defineConfig({
  testDir: 'specs',
  outputDir: 'test-results',
  globalSetup: './gallery/build.ts',
  // A swing takes about a minute of real time.
  timeout: 180_000,
  expect: { timeout: 10_000 },
  workers: 2,
  fullyParallel: false,
  forbidOnly: process.env['CI'] === 'true',
  // What passes the second time has failed once.
  retries: 0,
  use: {
    // A ten-inch tablet held across.
    viewport: { width: 1280, height: 800 },
    hasTouch: true,
    locale: 'en-GB',
    screenshot: 'only-on-failure',
    trace: 'off',
    launchOptions: {
      executablePath: chromium_path(),
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        '--no-first-run',
      ],
    },
  },
});
