// Working without touching the page: real strokes of keys, what is sounded and spoken, and the screen.
import type { Page } from '@playwright/test';
import { Demo, expect, test } from '../demo.ts';
import { too_small } from '../touch.ts';
import { open_line, ready, UNDER_WAY } from '../worksheet.ts';

/** An action has to stand this long before a key may run it; a little more. */
const SETTLED_MS = 600;

declare global {
  interface Window {
    /** What the page had spoken, and the pitches it began to sound; kept by the test alone. */
    heard: { said: string[]; pitches: number[] };
  }
}

/** Ears for the test: the browser's own voice and oscillators tell what they are asked for. */
async function with_ears(page: Page, lang = 'en-GB'): Promise<void> {
  await page.addInitScript((lang) => {
    window.heard = { said: [], pitches: [] };
    const voices = [{ lang, localService: true, default: true, name: 'made up', voiceURI: 'made-up' }];
    class Utterance {
      lang = '';
      voice: unknown = null;
      constructor(readonly text: string) {}
    }
    Object.defineProperty(window, 'SpeechSynthesisUtterance', { value: Utterance });
    const synthesis = { getVoices: () => voices, cancel: () => undefined, speak: ({ text }: Utterance) => window.heard.said.push(text), addEventListener: () => undefined };
    Object.defineProperty(window, 'speechSynthesis', { value: synthesis });
    const Oscillator = window.OscillatorNode;
    window.OscillatorNode = class extends Oscillator {
      constructor(context: BaseAudioContext, options?: OscillatorOptions) {
        super(context, options);
        window.heard.pitches.push(options?.frequency ?? 0);
      }
    };
  }, lang);
}

/** Counts the swings that the page asks for. */
function starts_asked(page: Page): () => number {
  let count = 0;
  page.on('request', (request) => {
    if (request.method() === 'POST' && request.url().endsWith('/api/v1/swing')) count += 1;
  });
  return () => count;
}

async function at_start(page: Page, demo: Demo): Promise<void> {
  await page.goto(demo.address);
  await ready(page);
  await open_line(page, 'swing');
  await start_in_view(page);
}

/** Where a finger last touched, the page may have scrolled: what is off the screen would be shown first. */
async function start_in_view(page: Page): Promise<void> {
  await page.getByTestId('swing-start').first().scrollIntoViewIfNeeded();
  await page.waitForTimeout(SETTLED_MS);
}

async function with_demo(watch: (demo: Demo) => Promise<void>): Promise<void> {
  const demo = await Demo.start();
  try {
    await demo.give_up_first_swing();
    await watch(demo);
  } finally {
    await demo.kill();
  }
}

const phase = (page: Page) => page.getByTestId('swing-phase').first();

test('Page down starts a swing, once however long it is held, and Escape does not end it', async ({ page, complaints }) => {
  await with_ears(page);
  await with_demo(async (demo) => {
    await at_start(page, demo);
    const asked = starts_asked(page);
    await expect(page.getByTestId('swing-start').first().locator('.key-mark')).toBeVisible();
    for (let nth = 0; nth < 15; nth += 1) await page.keyboard.down('PageDown');
    await expect(phase(page)).toHaveAttribute('data-phase', UNDER_WAY);
    await page.waitForTimeout(SETTLED_MS);
    for (let nth = 0; nth < 5; nth += 1) await page.keyboard.down('PageDown');
    await page.keyboard.up('PageDown');
    expect(asked()).toBe(1);
    for (const key of ['Escape', 'PageDown', 'Enter', 'Space', 'ArrowRight', 'PageUp', 'ArrowLeft']) await page.keyboard.press(key);
    await page.waitForTimeout(SETTLED_MS);
    expect((await demo.state()).swing.phase).toMatch(UNDER_WAY);
    expect(asked()).toBe(1);
    // A key was taken, and then the wheels were to be held.
    await expect.poll(() => page.evaluate(() => window.heard.pitches), { timeout: 60_000 }).toContain(392);
    expect((await page.evaluate(() => window.heard.pitches))[0]).toBe(1319);
    expect(complaints).toEqual([]);
  });
});

test('what is off the screen is shown first, and run only by the next stroke', async ({ page }) => {
  await with_demo(async (demo) => {
    await page.goto(demo.address);
    await ready(page);
    await open_line(page, 'camber');
    const asked = starts_asked(page);
    await page.evaluate(() => scrollTo(0, 0));
    const start = page.getByTestId('swing-start').first();
    await expect(start).not.toBeInViewport();
    await page.waitForTimeout(SETTLED_MS);
    await page.keyboard.press('PageDown');
    await expect(start).toBeInViewport();
    await page.waitForTimeout(SETTLED_MS);
    expect(asked()).toBe(0);
    await page.keyboard.press('PageDown');
    await expect(phase(page)).toHaveAttribute('data-phase', UNDER_WAY);
  });
});

test('keys that are typed, meant for another button or for the panel start nothing', async ({ page, demo }) => {
  await at_start(page, demo);
  const asked = starts_asked(page);
  const field = page.getByTestId('line-swing').locator('input[type=text]').first();
  await field.focus();
  for (const key of ['PageDown', 'Space', 'ArrowRight', 'MediaPlayPause', 'MediaTrackNext']) await page.keyboard.press(key);
  await expect(page.locator('.key-mark-resting')).toBeVisible();
  await field.blur();
  // Space and arrows choose where the angles come from.
  await page.getByTestId('swing-source-gyro').focus();
  await page.keyboard.press('ArrowRight');
  await expect(page.getByTestId('swing-source-plates')).toBeChecked();
  await page.keyboard.press('ArrowLeft');
  await expect(page.getByTestId('swing-source-gyro')).toBeChecked();
  // A focused button has Enter to itself; it opens the panel, and under that nothing is run.
  await page.getByTestId('hands-free-open').focus();
  await page.keyboard.press('Enter');
  await expect(page.getByTestId('hands-free')).toBeVisible();
  await page.waitForTimeout(SETTLED_MS);
  await page.keyboard.press('PageDown');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('Escape');
  await expect(page.getByTestId('hands-free')).toBeHidden();
  await start_in_view(page);
  await page.keyboard.press('Control+Enter');
  await page.waitForTimeout(SETTLED_MS);
  expect(asked()).toBe(0);
  // Switched off, no key does anything.
  await page.getByTestId('hands-free-open').click();
  await page.getByTestId('keys-on').click();
  await page.getByTestId('hands-free-close').click();
  await start_in_view(page);
  await page.keyboard.press('PageDown');
  await page.waitForTimeout(SETTLED_MS);
  expect(asked()).toBe(0);
  await expect(page.locator('.key-mark')).toHaveCount(0);
});

test('Enter on the focused button of the action runs it once', async ({ page }) => {
  await with_demo(async (demo) => {
    await at_start(page, demo);
    const asked = starts_asked(page);
    await page.getByTestId('swing-start').first().focus();
    await page.keyboard.press('Enter');
    await expect(phase(page)).toHaveAttribute('data-phase', UNDER_WAY);
    expect(asked()).toBe(1);
  });
});

test('sentences are spoken where that is wanted, and Page up says the last one again', async ({ page }) => {
  await with_ears(page);
  await with_demo(async (demo) => {
    await at_start(page, demo);
    await page.getByTestId('hands-free-open').click();
    await page.getByTestId('sounds-speech').click();
    await expect(page.getByTestId('speech-trouble')).toHaveCount(0);
    await page.getByTestId('hands-free-close').click();
    await start_in_view(page);
    await page.keyboard.press('Enter');
    await expect(phase(page)).toHaveAttribute('data-phase', UNDER_WAY);
    await expect.poll(() => page.evaluate(() => window.heard.said.length)).toBeGreaterThan(0);
    const said = await page.evaluate(() => [...window.heard.said]);
    expect(said[0]).toMatch(/\w+/);
    await page.keyboard.press('PageUp');
    const shown = await page.getByTestId('swing-say').innerText();
    await expect.poll(() => page.evaluate(() => window.heard.said.length)).toBeGreaterThan(said.length);
    const after = await page.evaluate(() => [...window.heard.said]);
    // Unless the wheels moved on in this very moment, it is what stands on the screen.
    expect([shown, ...said]).toContain(after.at(-1));
    // Tones were not wanted.
    expect(await page.evaluate(() => window.heard.pitches)).toEqual([]);
  });
});

test('a check is started by a key, and heard to its end', async ({ page }) => {
  await with_ears(page);
  await with_demo(async (demo) => {
    await page.goto(demo.address);
    await ready(page);
    await page.getByTestId('hands-free-open').click();
    await page.getByTestId('sounds-both').click();
    await page.getByTestId('hands-free-close').click();
    await open_line(page, 'checks');
    await page.getByTestId('check-kind-camber_on_hub').click();
    await page.getByTestId('check-start').scrollIntoViewIfNeeded();
    await page.waitForTimeout(SETTLED_MS);
    await page.keyboard.press('ArrowRight');
    await expect(page.getByTestId('check-stage')).toBeVisible();
    const result = page.getByTestId('check-result');
    await expect(result).toHaveAttribute('data-kind', 'camber_on_hub', { timeout: 60_000 });
    const { pitches, said } = await page.evaluate(() => window.heard);
    // Held, then done; and what was found is told.
    expect(pitches).toContain(392);
    expect(pitches.slice(-3)).toEqual([523, 698, 1047]);
    expect(said.at(-1)).toBe(await result.locator('.point-say').innerText());
  });
});

test('a key takes one step on in a check, and no key gives it up', async ({ page }) => {
  await with_demo(async (demo) => {
    await page.goto(demo.address);
    await ready(page);
    const start = { kind: 'height_sweep', mount: 'front_left', step_mm: 10 };
    const answer = await fetch(`${demo.address}/api/v1/check`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(start) });
    expect(answer.ok).toBe(true);
    const take = page.getByTestId('check-figure-take');
    // The first height has to be typed; while it is not, no key is offered.
    await expect(take).toBeDisabled();
    await expect(page.locator('.key-mark')).toHaveCount(0);
    await page.getByTestId('check-figure-height').fill('350');
    await take.click();
    await expect(take).toHaveText('One step on', { timeout: 60_000 });
    await expect(take.locator('.key-mark')).toBeVisible();
    await page.waitForTimeout(SETTLED_MS);
    await page.keyboard.press('MediaTrackNext');
    await expect(page.getByTestId('check-phase')).toHaveAttribute('data-phase', /await_still|hold/);
    for (const key of ['Enter', 'Space', 'PageDown', 'Escape', 'Backspace', 'Delete']) await page.keyboard.press(key);
    await expect(page.getByTestId('check-phase')).toHaveAttribute('data-phase', 'await_figure', { timeout: 60_000 });
    expect(((await (await fetch(`${demo.address}/api/v1/state`)).json()) as { check: { taken: number } }).check.taken).toBe(2);
  });
});

test('a voice that is missing is told', async ({ page, demo }) => {
  await with_ears(page, 'fr-FR');
  await page.goto(demo.address);
  await ready(page);
  await page.getByTestId('hands-free-open').click();
  await page.getByTestId('sounds-both').click();
  await expect(page.getByTestId('speech-trouble')).toHaveAttribute('data-state', 'no_voice_of_language');
  await expect(page.getByTestId('say-again')).toBeDisabled();
});

test('the panel plays each tone, is remembered, and is made for fingers', async ({ page, demo }) => {
  await with_ears(page);
  await page.goto(demo.address);
  await ready(page);
  await page.getByTestId('hands-free-open').click();
  const first: Record<string, number> = { move: 932, hold: 392, read: 587, done: 523, refused: 330, lost: 440, key: 1319, no_key: 294, too_much: 880, too_little: 495, there: 660 };
  for (const [tone, pitch_hz] of Object.entries(first)) {
    const before = await page.evaluate(() => window.heard.pitches.length);
    await page.getByTestId(`try-${tone}`).click();
    await expect.poll(() => page.evaluate((before) => Math.round(window.heard.pitches[before] ?? 0), before)).toBe(pitch_hz);
  }
  expect(await too_small(page)).toEqual([]);
  await page.getByTestId('sounds-none').click();
  await page.getByTestId('loudness-soft').click();
  await page.reload();
  await expect(page.getByTestId('hands-free-open')).toHaveAttribute('data-sounds', 'none');
  await page.getByTestId('hands-free-open').click();
  await expect(page.getByTestId('loudness-soft')).toHaveAttribute('aria-pressed', 'true');
});

/** A browser whose wake lock is as given. */
async function with_screen(page: Page, kind: 'given' | 'refused' | 'absent'): Promise<void> {
  await page.addInitScript((kind) => {
    const lock = Object.assign(new EventTarget(), { release: () => Promise.resolve() });
    const request = () => (kind === 'given' ? Promise.resolve(lock) : Promise.reject(new DOMException('no', 'NotAllowedError')));
    if (kind === 'absent') Reflect.deleteProperty(Navigator.prototype, 'wakeLock');
    else Object.defineProperty(Navigator.prototype, 'wakeLock', { configurable: true, get: () => ({ request }) });
  }, kind);
}

for (const [kind, state] of [['given', 'kept'], ['refused', 'not_allowed'], ['absent', 'unsupported']] as const) {
  test(`a screen lock that is ${kind} is told as ${state}`, async ({ page, demo }) => {
    await with_screen(page, kind);
    await page.goto(demo.address);
    await ready(page);
    await page.getByTestId('hands-free-open').click();
    await expect(page.getByTestId('awake')).toHaveAttribute('data-state', state);
    if (kind !== 'given') await expect(page.getByTestId('awake')).toContainText('may go dark');
    await page.getByTestId('screen-on').click();
    await expect(page.getByTestId('awake')).toHaveAttribute('data-state', 'not_wanted');
  });
}

test('on a stage the reason stands above the work until it is read', async ({ page }) => {
  await with_screen(page, 'refused');
  await with_demo(async (demo) => {
    await at_start(page, demo);
    await page.keyboard.press('PageDown');
    const note = page.getByTestId('awake-note');
    await expect(note).toHaveAttribute('data-state', 'not_allowed');
    const [content_px, shown_px] = await page.evaluate(() => [document.documentElement.scrollHeight, innerHeight]);
    expect(content_px).toBeLessThanOrEqual(shown_px!);
    await page.getByTestId('awake-read').click();
    await expect(note).toHaveCount(0);
  });
});
