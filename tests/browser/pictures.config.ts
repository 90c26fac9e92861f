// Takes the pictures for the README from the running demonstration.
import { defineConfig } from '@playwright/test';
import tests from './playwright.config.ts';

export default defineConfig(tests, { testDir: 'pictures' });
