// The pictures of docs/PAGE.md: each main screen before the canned daemon, as small files of few colours.
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { test } from '../gallery/gallery.ts';
import { SCREENS } from '../gallery/screens.ts';

const FOLDER = fileURLToPath(new URL('../../../docs/pictures', import.meta.url));
/** The page has few colours, and between them the greys of the edges of letters. */
const COLOURS = 48;

interface Shot {
  screen: string;
  upright?: boolean;
  dark?: boolean;
}

const SHOTS: readonly Shot[] = [
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
  { screen: 'adjust-step', upright: true },
];

for (const { screen: name, upright = false, dark = false } of SHOTS) {
  const file = `${name}${upright ? '-upright' : ''}${dark ? '-dark' : ''}.png`;
  test(file, async ({ page, gallery }) => {
    const screen = SCREENS.find((one) => one.name === name);
    if (!screen) throw new Error(`no screen ${name}`);
    await page.setViewportSize(upright ? { width: 800, height: 1280 } : { width: 1280, height: 800 });
    await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
    await gallery.show(page, screen.scene);
    await screen.go?.(page, gallery);
    // What is at hand begins right below the head.
    if (screen.stage !== true) await page.locator('.line-at-hand').first().evaluate((line) => line.scrollIntoView({ block: 'start', behavior: 'instant' }));
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    mkdirSync(FOLDER, { recursive: true });
    writeFileSync(`${FOLDER}/${file}`, await sharp(await page.screenshot()).png({ palette: true, colours: COLOURS, effort: 10 }).toBuffer());
  });
}
