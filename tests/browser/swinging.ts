// A steering swing: the page says what to do, and hands do it.
import { expect, type Page } from '@playwright/test';
import type { Garage, Wheel } from './garage.ts';
import { agrees } from './judge.ts';

/** Mean steer angle of the stops, degrees, + left; the last is straight ahead. */
export const STOPS = [19, -21, 0] as const;
/** A rest of three seconds and what goes before it, at any speed on a busy machine. */
export const STOP_MS = 30_000;

const READY = /^(await_turn|stop_taken)$/;

export const swing_phase = (page: Page) => page.getByTestId('swing-phase').first();

/** Steers to every stop once the page has taken the one before; ends with the wheels straight ahead. */
export async function steer_through(page: Page, garage: Garage, stops: readonly number[] = STOPS): Promise<void> {
  for (const [taken, to] of stops.entries()) {
    await expect(page.getByTestId(`rest-${taken}`)).toBeVisible({ timeout: STOP_MS });
    await expect(swing_phase(page)).toHaveAttribute('data-phase', READY, { timeout: STOP_MS });
    await garage.do({ steer_to_deg: to, over_s: 2 });
  }
}

/** Widest ± that a swing with good boards may end with, degrees. */
const WIDEST = { camber: 0.2, caster: 0.6, sai: 0.6, included_angle: 0.6 };

/** Every finding of a wheel as it stands in the open line of findings. */
export async function judge_wheel(page: Page, garage: Garage, mount: Wheel, widest: typeof WIDEST = WIDEST): Promise<void> {
  const truth = await garage.wheel(mount);
  const found = (angle: string) => page.getByTestId(`finding-${mount}-${angle}`);
  await agrees(`${mount} camber`, found('camber'), truth.camber_deg, widest.camber);
  await agrees(`${mount} caster`, found('caster'), truth.caster_deg!, widest.caster);
  await agrees(`${mount} SAI`, found('sai'), truth.sai_deg!, widest.sai);
  await agrees(`${mount} included angle`, found('included_angle'), truth.included_deg!, widest.included_angle);
}
