// A visit on the page: its car, its table, and what the daemon keeps of it.
import { fileURLToPath } from 'node:url';
import { expect, type Page } from '@playwright/test';
import type { Garage } from './garage.ts';
import { open_line } from './worksheet.ts';

/** The invented car of the scenario `bent-knuckle`. */
export const STOAT = fileURLToPath(new URL('cars/stoat.toml', import.meta.url));

export interface Found {
  quantity: string;
  place: string;
  stage: string;
  value: number;
  expanded: number;
  number: number;
}

export interface Visit {
  id: number;
  stage: string;
  preparation: { point: string; title: string; done_at: string | null; note: string; cautions: string[] }[];
  conditions: { tyre_kpa?: Record<string, number>; tread_mm?: Record<string, number>; ride_height_mm?: Record<string, number>; load?: string; place_c?: number } | null;
  findings: Found[];
  runs: { number: number; procedure: string; taken_back: boolean }[];
  moves: { number: number; adjuster: string; corner: string; amount: number[]; seen_to: string[] }[];
  work: { quantity: string; place: string; adjuster: string | null; amount: number[][] | null }[];
}

export async function visit_of(garage: { json<T>(path: string): Promise<T> }): Promise<Visit> {
  const { visit } = await garage.json<{ visit: { id: number | null } }>('/api/v1/state');
  return garage.json<Visit>(`/api/v1/visits/${visit.id}`);
}

/** Imports a car, unless it is kept already, and begins a visit of it. */
export async function begin_visit(page: Page, file = STOAT, name = 'Stoat 1100'): Promise<void> {
  await open_line(page, 'visit');
  await expect(page.getByTestId('cars')).toBeVisible();
  const card = page.locator(`[data-testid^="car-"][data-name="${name}"]`);
  if ((await card.count()) === 0) {
    await page.getByTestId('car-import').click();
    await page.getByTestId('car-import-file').setInputFiles(file);
    await expect(page.getByTestId('car-import-text')).toHaveValue(new RegExp(name));
    await page.getByTestId('car-import-take').click();
    await expect(card).toHaveCount(1);
  }
  await card.locator('[data-testid$="-begin"]').click();
  await expect(page.getByTestId('visit-at-hand')).toHaveAttribute('data-stage', 'preparing');
}

/** Goes to a part of the visit by the bar. */
export async function go_to(page: Page, stage: string): Promise<void> {
  await page.getByTestId(`stage-${stage}`).click();
  await expect(page.getByTestId('visit-at-hand')).toHaveAttribute('data-stage', stage);
}

export const found = (page: Page, quantity: string, place: string, stage = 'before') => page.getByTestId(`found-${quantity}-${place}-${stage}`);

/** Waits until the visit has a run of a procedure that it had not before. */
export async function has_run(garage: Garage, procedure: string, before = 0): Promise<void> {
  const runs = async () => (await visit_of(garage)).runs.filter((run) => run.procedure === procedure).length;
  await expect.poll(runs, { timeout: 30_000 }).toBeGreaterThan(before);
}
