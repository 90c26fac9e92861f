// What a finger must hit, measured from the layout.
import type { Page } from '@playwright/test';

/** Least side of anything a finger must hit: 12 mm on a ten-inch tablet. */
export const TOUCH_PX = 72;

export async function too_small(page: Page): Promise<string[]> {
  const targets = page.locator('button:visible, a[href]:visible, summary:visible, input:visible, select:visible, [role=button]:visible');
  return targets.evaluateAll(
    (elements, least) =>
      elements.flatMap((element) => {
        // What a label holds is hit by hitting the label.
        const hit = element.closest('label') ?? element;
        const { width, height } = hit.getBoundingClientRect();
        const name = element.getAttribute('data-testid') ?? element.textContent ?? '';
        return width >= least && height >= least ? [] : [`${element.tagName} "${name.trim()}" is ${width} x ${height}`];
      }),
    TOUCH_PX,
  );
}
