// The inks of styles/ink.css: contrast by WCAG 2.2, and how far apart they are for colour-blind eyes.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { contrast, distance, rgbOf, seenBy, VISIONS, type Rgb } from './colour';

const sheet = readFileSync(new URL('../src/styles/ink.css', import.meta.url), 'utf8');
const PAIR = /--([\w-]+):\s*light-dark\((#[0-9a-f]{6,8}),\s*(#[0-9a-f]{6,8})\)/g;
const pairs = [...sheet.matchAll(PAIR)].map(([, name = '', daylight = '', dark = '']) => [name, { daylight, dark }] as const);
const INKS = new Map(pairs);
type Theme = 'daylight' | 'dark';
const ink = (theme: Theme, name: string): Rgb => {
  const found = INKS.get(name);
  if (!found) throw new Error(`ink.css has no --${name}`);
  return rgbOf(found[theme]);
};
const THEMES: readonly Theme[] = ['daylight', 'dark'];

/** Text on what it stands on. */
const TEXT: readonly (readonly [string, string])[] = [
  ...['ink', 'ink-soft', 'blue', 'ochre'].flatMap((text) => ['paper', 'paper-raised'].map((ground) => [text, ground] as const)),
  ['on-blue', 'blue-fill'],
  ['on-ochre', 'ochre-fill'],
];
/** Lines and fills that carry meaning, on paper. */
const SHAPES: readonly (readonly [string, string])[] = ['blue', 'ochre', 'rule-strong', 'ink'].flatMap((shape) => ['paper', 'paper-raised'].map((ground) => [shape, ground] as const));

describe.each(THEMES)('%s', (theme) => {
  it.each(TEXT)('%s on %s is read: 4.5 to 1', (text, ground) => {
    expect(contrast(ink(theme, text), ink(theme, ground))).toBeGreaterThanOrEqual(4.5);
  });

  it.each(SHAPES)('%s on %s is seen: 3 to 1', (shape, ground) => {
    expect(contrast(ink(theme, shape), ink(theme, ground))).toBeGreaterThanOrEqual(3);
  });
});

describe('daylight', () => {
  it('is made for the sun: its ink and its soft ink stand out more than in the dark', () => {
    for (const text of ['ink', 'ink-soft']) {
      expect(contrast(ink('daylight', text), ink('daylight', 'paper'))).toBeGreaterThan(contrast(ink('dark', text), ink('dark', 'paper')));
    }
    expect(contrast(ink('daylight', 'ink'), ink('daylight', 'paper'))).toBeGreaterThanOrEqual(18);
    expect(contrast(ink('daylight', 'ink-soft'), ink('daylight', 'paper'))).toBeGreaterThanOrEqual(7);
  });
});

/** Least distance of two colours in OKLab that are told apart at a glance; by trial on a tablet, ten times a just noticeable one of about 0.02. */
const APART = 0.2;

describe.each(THEMES.flatMap((theme) => VISIONS.map((vision) => ({ theme, vision }))))('the states in $theme, seen with $vision', ({ theme, vision }) => {
  const seen = (name: string) => seenBy(vision, ink(theme, name));

  it('the band of hold and the band of move are told apart, by lightness too', () => {
    expect(distance(seen('blue-fill'), seen('ochre-fill'))).toBeGreaterThanOrEqual(APART);
    expect(contrast(seen('blue-fill'), seen('ochre-fill'))).toBeGreaterThanOrEqual(3);
  });

  it('each band is told from the paper', () => {
    expect(distance(seen('blue-fill'), seen('paper'))).toBeGreaterThanOrEqual(APART);
    expect(distance(seen('ochre-fill'), seen('paper'))).toBeGreaterThanOrEqual(APART);
  });

  it('blue lines and ochre lines are told apart', () => {
    expect(distance(seen('blue'), seen('ochre'))).toBeGreaterThanOrEqual(APART / 2);
  });
});

describe('the measure itself', () => {
  it('knows black and white, and a pair that is lost to red-blind eyes', () => {
    expect(contrast(rgbOf('#000000'), rgbOf('#ffffff'))).toBeCloseTo(21, 6);
    // A red and a green of one lightness: the pair that this page does without.
    const [red, green] = [rgbOf('#b84a3a'), rgbOf('#6d7b33')];
    expect(distance(red, green)).toBeGreaterThan(APART / 2);
    expect(distance(seenBy('protanopia', red), seenBy('protanopia', green))).toBeLessThan(distance(red, green) / 2);
  });

  it('leaves grey as it is for everybody', () => {
    const grey = rgbOf('#808080');
    for (const vision of VISIONS) expect(distance(seenBy(vision, grey), grey)).toBeLessThan(0.01);
  });
});
