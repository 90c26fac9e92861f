// The built page before a canned daemon (web-ui/dev): every situation can be shown at once, without a car.
import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { expect, type Page } from '@playwright/test';
import { test as base } from '../demo.ts';
import { VITE, WEB_UI } from './build.ts';

const START_MS = 30_000;

export class Gallery {
  private constructor(
    private readonly child: ChildProcess,
    readonly address: string,
  ) {}

  static async start(): Promise<Gallery> {
    const { FORCE_COLOR: _, ...env } = process.env;
    const child = spawn(process.execPath, [VITE, 'preview', '--config', 'dev/vite.config.ts', '--host', '127.0.0.1', '--port', '0'], {
      cwd: WEB_UI,
      stdio: ['ignore', 'pipe', 'pipe'],
      env: { ...env, NO_COLOR: '1', VITE_CONFIG_NATIVE_IGNORE_WARNING: 'true' },
    });
    let printed = '';
    const address = await new Promise<string>((found, failed) => {
      const late = setTimeout(() => failed(new Error(`no address within ${START_MS} ms:\n${printed}`)), START_MS);
      const hear = (bytes: Buffer) => {
        printed += bytes.toString();
        const match = /http:\/\/127\.0\.0\.1:\d+/.exec(printed);
        if (match) {
          clearTimeout(late);
          found(match[0]);
        }
      };
      child.stdout.on('data', hear);
      child.stderr.on('data', hear);
      child.on('exit', (code) => failed(new Error(`ended with ${code} before it listened:\n${printed}`)));
    });
    return new Gallery(child, address);
  }

  private async tell(path: string): Promise<void> {
    const answer = await fetch(`${this.address}/dev/${path}`, { method: 'POST' });
    if (!answer.ok) throw new Error(`the canned daemon knows no ${path}`);
  }

  /** Opens the page on a scene and waits until it is drawn. */
  async show(page: Page, scene: string): Promise<void> {
    await this.tell(`scene/${scene}`);
    await page.goto(this.address);
    await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'live');
    await expect(page.locator('main > *').first()).toBeVisible();
    await page.evaluate(() => document.fonts.ready);
  }

  /** The daemon is gone: its streams end and nothing answers any more. */
  async lose(page: Page): Promise<void> {
    await page.route('**/api/v1/**', (route) => route.abort());
    await this.tell('hang-up');
    await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'lost');
  }

  async stop(): Promise<void> {
    if (this.child.exitCode !== null) return;
    const gone = once(this.child, 'exit');
    this.child.kill('SIGKILL');
    await gone;
  }
}

export const test = base.extend<object, { gallery: Gallery }>({
  gallery: [
    async ({}, use) => {
      const gallery = await Gallery.start();
      try {
        await use(gallery);
      } finally {
        await gallery.stop();
      }
    },
    { scope: 'worker' },
  ],
});

export { expect };
