// Every screen, on every size: nothing cut, all of it to be touched, the one figure read from three metres,
// and nothing that keeps somebody out.
import { digit_height_mm } from '../measure.ts';
import { expect, test } from '../gallery/gallery.ts';
import { axe, layout_faults, OTHERS, TABLET, type AxeFinding } from '../gallery/faults.ts';
import { SCREENS } from '../gallery/screens.ts';

/** The one figure that matters now, on a ten-inch tablet. */
const MATTERS_MM = 40;
/** 22 minutes of arc at three metres, the least for reading at ease (ISO 9241 series, from memory). */
const READ_MM = 19;
const KEEPS_OUT = ['serious', 'critical'];

const told = (findings: readonly AxeFinding[]) => findings.map(({ id, impact, nodes }) => `${impact} ${id}: ${nodes.slice(0, 4).join(' | ')}`);

/** Both languages: German words are the longer ones. What the canned daemon says stays English. */
const LANGUAGES = ['en', 'de'] as const;

for (const [language, screen] of LANGUAGES.flatMap((one) => SCREENS.map((screen) => [one, screen] as const))) {
  test(`${screen.name}, ${language}`, async ({ page, gallery }) => {
    await page.addInitScript((one) => localStorage.setItem('hubplumb-language', one), language);
    await gallery.show(page, screen.scene);
    await expect(page.locator('html')).toHaveAttribute('lang', language);
    await screen.go?.(page, gallery);

    expect.soft(await layout_faults(page, [...OTHERS, ...TABLET])).toEqual([]);

    for (const { name, width, height } of TABLET) {
      await page.setViewportSize({ width, height });
      // The height of the head is told to the styles with the next frame.
      await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
      await page.evaluate(() => scrollTo(0, 0));
      for (const [selectors, least_mm] of [[screen.matters === undefined ? [] : [screen.matters], MATTERS_MM], [screen.reads ?? [], READ_MM]] as const) {
        for (const selector of selectors) {
          for (const figure of await page.locator(selector).all()) {
            expect.soft(await digit_height_mm(figure), `${selector} on the ${name}`).toBeGreaterThanOrEqual(least_mm);
          }
          if (screen.stage !== true) await page.locator(selector).first().scrollIntoViewIfNeeded();
          await expect.soft(page.locator(selector).first(), `${selector} on the ${name}`).toBeInViewport({ ratio: 0.99 });
        }
      }
    }

    // Each language has the same elements: the inks are looked at once each.
    for (const colorScheme of language === 'en' ? (['light', 'dark'] as const) : (['dark'] as const)) {
      await page.emulateMedia({ colorScheme });
      const findings = await axe(page);
      test.info().annotations.push(...findings.map(({ id, impact, nodes }) => ({ type: `axe ${impact} ${id}`, description: nodes.join('\n') })));
      expect.soft(told(findings.filter(({ impact }) => KEEPS_OUT.includes(impact))), colorScheme).toEqual([]);
    }
  });
}

test('what keeps people out would be found', async ({ page }) => {
  await page.setContent('<html lang="en"><title>t</title><main><h1>t</h1><input><p style="color:#999;background:#fff">pale</p><button></button></main></html>');
  expect((await axe(page)).map(({ id }) => id)).toEqual(expect.arrayContaining(['label', 'color-contrast', 'button-name']));
});

test('what is cut, hidden at a side or too near would be found', async ({ page }) => {
  await page.setContent('<!doctype html><button style="width:80px;height:80px">a</button><button style="width:80px;height:80px;margin-left:5px">b</button><p style="width:40px;white-space:nowrap">longer than that</p><p style="position:absolute;left:2000px">out</p>');
  const faults = await layout_faults(page, TABLET.slice(0, 1));
  for (const fault of [/apart/, /longer than that.*wide in 40/, /out" reaches/, /the page is/]) expect(faults.some((one) => fault.test(one)), String(fault)).toBe(true);
});
