// Colours as eyes see them: contrast by WCAG 2.2, distance in OKLab, and colour-blind sight.

/** Red, green and blue in linear light, 0 to 1. */
export type Rgb = readonly [number, number, number];

const linear = (code: number): number => (code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4);

/** A colour of a style sheet; its alpha is left out. */
export function rgbOf(hex: string): Rgb {
  const part = (at: number): number => linear(Number.parseInt(hex.slice(at, at + 2), 16) / 255);
  return [part(1), part(3), part(5)];
}

const luminance = ([red, green, blue]: Rgb): number => 0.2126 * red + 0.7152 * green + 0.0722 * blue;

/** WCAG 2.2, definition of contrast ratio. */
export function contrast(one: Rgb, other: Rgb): number {
  const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b) as [number, number];
  return (light + 0.05) / (dark + 0.05);
}

type Matrix = readonly [Rgb, Rgb, Rgb];
const times = (matrix: Matrix, [red, green, blue]: Rgb): Rgb => matrix.map(([a, b, c]) => a * red + b * green + c * blue) as unknown as Rgb;

/**
 * Matrices for linear RGB at full severity: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based
 * Model for Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics 15 (6), 2009,
 * 1291–1298, severity 1.0 (from memory; each row adds up to one, so that grey stays grey).
 */
const BLINDNESS = {
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritanopia: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
} as const satisfies Record<string, Matrix>;

export type Vision = 'all cones' | keyof typeof BLINDNESS;
export const VISIONS: readonly Vision[] = ['all cones', 'protanopia', 'deuteranopia', 'tritanopia'];

export function seenBy(vision: Vision, colour: Rgb): Rgb {
  if (vision === 'all cones') return colour;
  return times(BLINDNESS[vision], colour).map((part) => Math.min(1, Math.max(0, part))) as unknown as Rgb;
}

/** OKLab of B. Ottosson (2020), from linear sRGB (from memory). */
function oklab(colour: Rgb): Rgb {
  const cones = times(
    [
      [0.4122214708, 0.5363325363, 0.0514459929],
      [0.2119034982, 0.6806995451, 0.1073969566],
      [0.0883024619, 0.2817188376, 0.6299787005],
    ],
    colour,
  ).map(Math.cbrt) as unknown as Rgb;
  return times(
    [
      [0.2104542553, 0.793617785, -0.0040720468],
      [1.9779984951, -2.428592205, 0.4505937099],
      [0.0259040371, 0.7827717662, -0.808675766],
    ],
    cones,
  );
}

/** How far apart two colours look; black and white are 1 apart. */
export function distance(one: Rgb, other: Rgb): number {
  const [a, b] = [oklab(one), oklab(other)];
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}
