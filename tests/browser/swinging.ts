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

export const steer = (garage: Garage, to_deg: number) => garage.do({ steer_to_deg: to_deg, over_s: 2 });

/** Both wheels' steer from straight ahead at a lock, as they are. */
export async function wheels_at(garage: Garage, to_deg: number): Promise<Record<string, number>> {
  await steer(garage, to_deg);
  return Object.fromEntries((await garage.plates()).map(({ mount, plate_deg }) => [mount, plate_deg]));
}

/** What the outer wheel stands at when the inner one stands at exactly 20°. */
async function outer_at_20(garage: Garage, side: 1 | -1): Promise<number> {
  const [inner, outer]: [Wheel, Wheel] = side > 0 ? ['front_left', 'front_right'] : ['front_right', 'front_left'];
  let mean_deg = 19;
  for (let nth = 0; nth < 4; nth += 1) mean_deg += 20 - side * (await wheels_at(garage, side * mean_deg))[inner]!;
  const at = await wheels_at(garage, side * mean_deg);
  expect(side * at[inner]!).toBeCloseTo(20, 3);
  await steer(garage, 0);
  return side * at[outer]!;
}

/** Both sides of the toe-out on turns that the open result tells. */
export async function judge_turns(page: Page, garage: Garage, how: string, widest: number): Promise<void> {
  const truth = { left: await outer_at_20(garage, 1), right: await outer_at_20(garage, -1) };
  for (const turn of ['left', 'right'] as const) {
    await agrees(`outer wheel, turn to the ${turn}, ${how}`, page.getByTestId(`check-outer_at_inner20-${turn}`), truth[turn], widest);
    await agrees(`toe-out, turn to the ${turn}, ${how}`, page.getByTestId(`check-toe_out_on_turn-${turn}`), 20 - truth[turn], widest);
  }
}
