// The pictures of docs/PAGE.md: each main screen before the canned daemon, as small files of few colours.
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import sharp from 'sharp';
import { test as running } from '../demo.ts';
import { test } from '../gallery/gallery.ts';
import { SCREENS } from '../gallery/screens.ts';
import { open_line } from '../worksheet.ts';

/** The gallery's boards have only just begun; strips want a running car. */
const STRIPS_S = 25;
const FOLDER = fileURLToPath(new URL('../../../docs/pictures', import.meta.url));
/** The page has few colours, and between them the greys of the edges of letters. */
const COLOURS = 48;

interface Shot {
  screen: string;
  upright?: boolean;
  dark?: boolean;
}

const SHOTS: readonly Shot[] = [
  { screen: 'hands-free' },
  { screen: 'reach' },
  { screen: 'first-tap' },
  { screen: 'first-face' },
  { screen: 'practice' },
  { screen: 'visit' },
  { screen: 'prepare' },
  { screen: 'floor' },
  { screen: 'run-out-turning' },
  { screen: 'camber' },
  { screen: 'camber-alone', dark: true },
  { screen: 'swing-hold' },
  { screen: 'swing-turning' },
  { screen: 'swing-turning', upright: true, dark: true },
  { screen: 'swing-plates' },
  { screen: 'findings' },
  { screen: 'check-locks' },
  { screen: 'calibration-slant' },
  { screen: 'figures-gap' },
  { screen: 'table' },
  { screen: 'meaning' },
  { screen: 'adjust' },
  { screen: 'history' },
  { screen: 'adjust-step' },
  { screen: 'adjust-step', upright: true },
  { screen: 'lost-camber' },
];

const keep = async (file: string, picture: Buffer): Promise<void> => {
  mkdirSync(FOLDER, { recursive: true });
  writeFileSync(`${FOLDER}/${file}`, await sharp(picture).png({ palette: true, colours: COLOURS, effort: 10 }).toBuffer());
};

/** What is at hand begins right below the head. */
const to_the_top = async (page: Page): Promise<void> => {
  const at_hand = page.locator('.line-at-hand').first();
  if ((await at_hand.count()) > 0) await at_hand.evaluate((line) => line.scrollIntoView({ block: 'start', behavior: 'instant' }));
};

running('traces.png', async ({ page, demo }) => {
  await page.goto(demo.address);
  await open_line(page, 'traces');
  await page.getByTestId('traces').locator('canvas').first().waitFor();
  await page.waitForTimeout(STRIPS_S * 1000);
  await to_the_top(page);
  await keep('traces.png', await page.screenshot());
});

for (const { screen: name, upright = false, dark = false } of SHOTS) {
  const file = `${name}${upright ? '-upright' : ''}${dark ? '-dark' : ''}.png`;
  test(file, async ({ page, gallery }) => {
    const screen = SCREENS.find((one) => one.name === name);
    if (!screen) throw new Error(`no screen ${name}`);
    await page.setViewportSize(upright ? { width: 800, height: 1280 } : { width: 1280, height: 800 });
    await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
    await gallery.show(page, screen.scene);
    await screen.go?.(page, gallery);
    if (screen.stage !== true) await to_the_top(page);
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    await keep(file, await page.screenshot());
  });
}
