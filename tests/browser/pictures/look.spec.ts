// Every screen as a picture, to be looked at: LOOK names the folder, ONLY a part of the screens' names,
// LAYOUTS more sizes by name, SPOKEN the language; DARK takes the ink for the dark.
import { test } from '../gallery/gallery.ts';
import { OTHERS, TABLET } from '../gallery/faults.ts';
import { SCREENS } from '../gallery/screens.ts';

const folder = process.env['LOOK'];
const only = new RegExp(process.env['ONLY'] ?? '');
const layouts = [...TABLET, ...OTHERS.filter(({ name }) => (process.env['LAYOUTS'] ?? '').includes(name))];

for (const screen of folder === undefined ? [] : SCREENS.filter(({ name }) => only.test(name))) {
  test(`look at ${screen.name}`, async ({ page, gallery }) => {
    await page.emulateMedia({ colorScheme: process.env['DARK'] ? 'dark' : 'light' });
    await page.addInitScript((language) => localStorage.setItem('hubplumb-language', language), process.env['SPOKEN'] ?? 'en');
    await gallery.show(page, screen.scene);
    await screen.go?.(page, gallery);
    for (const { name, width, height } of layouts) {
      await page.setViewportSize({ width, height });
      await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
      await page.screenshot({ path: `${folder}/${screen.name}-${name.replace(' ', '-')}.png` });
    }
  });
}
