// Handling of the worksheet as a person does it: by its lines.
import { expect, type Page } from '@playwright/test';
import { too_small } from './touch.ts';

export type Line =
  | 'visit'
  | 'prepare'
  | 'boards'
  | 'floor'
  | 'run_out'
  | 'camber'
  | 'traces'
  | 'swing'
  | 'findings'
  | 'checks'
  | 'figures'
  | 'table'
  | 'meaning'
  | 'adjust'
  | 'sheet';

/** Opens a line unless it is open; a line with nothing in it stays closed. */
export async function open_line(page: Page, line: Line): Promise<void> {
  await expect(page.getByTestId(`line-${line}`)).toBeVisible({ timeout: 30_000 });
  const title = page.getByTestId(`line-${line}`).locator('.line-title');
  if (!(await title.isVisible())) return;
  // The work may move on in just that moment and open the line by itself: then there is nothing left to touch.
  await title.click({ timeout: 10_000 }).catch(async (error: unknown) => {
    if (await title.isVisible()) throw error;
  });
}

/** Waits until the daemon's first values are on the page. */
export async function ready(page: Page): Promise<void> {
  await expect(page.getByTestId('connection')).toHaveAttribute('data-link', 'live');
  for (const mount of ['front_left', 'front_right']) {
    await expect(page.getByTestId(`camber-${mount}`).first()).toHaveAttribute('data-status', 'known');
  }
}

/** Steps in which a swing is under way. */
export const UNDER_WAY = /await_|hold_|turning|stop_taken/;

/** Starts a swing from the page, whatever line is open. */
export async function start_swing(page: Page): Promise<void> {
  await open_line(page, 'swing');
  await page.getByTestId('swing-start').first().click();
  await expect(page.getByTestId('swing-phase').first()).toHaveAttribute('data-phase', UNDER_WAY);
}

/** What a person must reach stays reachable: nothing too small for a finger, nothing beside the screen. */
export async function fits(page: Page, where: string): Promise<void> {
  // What leaves the page in just that moment has no size any more.
  await expect.poll(() => too_small(page), { message: where }).toEqual([]);
  const [content_px, shown_px] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
  expect(content_px, `${where}: scrolled sideways`).toBeLessThanOrEqual(shown_px!);
}

/** The same with the tablet held either way. */
export async function fits_both_ways(page: Page, where: string): Promise<void> {
  await fits(page, where);
  const across = page.viewportSize()!;
  await page.setViewportSize({ width: across.height, height: across.width });
  await fits(page, `${where}, upright`);
  await page.setViewportSize(across);
}
