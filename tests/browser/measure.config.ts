// Measures the page and writes docs/PAGE_FIGURES.md: `npm run measure`, about a quarter of an hour.
import { defineConfig } from '@playwright/test';
import tests from './playwright.config.ts';

export default defineConfig(tests, { testDir: 'pace', testMatch: '*.measure.ts', timeout: 1_800_000, workers: 1 });
