// Sizes of what is on the screen, in millimetres of a ten-inch tablet.
import type { Locator } from '@playwright/test';

/** A ten-inch diagonal of 1280 × 800 points. */
export const PX_PER_MM = Math.hypot(1280, 800) / (10 * 25.4);

/** Height of the digits themselves, not of their line, as the browser draws them. */
export async function digit_height_mm(figure: Locator): Promise<number> {
  const height_px = await figure.evaluate((element) => {
    const style = getComputedStyle(element);
    const pen = document.createElement('canvas').getContext('2d');
    if (!pen) throw new Error('no canvas');
    pen.font = `${style.fontStyle} ${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    const digit = pen.measureText('1');
    return digit.actualBoundingBoxAscent + digit.actualBoundingBoxDescent;
  });
  return height_px / PX_PER_MM;
}
