// Sound as numbers: the sound modules of the page, played into memory by a real browser, and what is heard in it.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import ts from 'typescript';

const SOUND = fileURLToPath(new URL('../../web-ui/src/sound/', import.meta.url));
/** Answered by the test itself; nothing of it goes to a network. */
const ORIGIN = 'http://sound.test';

/** Gives the page an empty document and the sound modules beside it, as the browser can run them. */
export async function open_sound(page: Page): Promise<void> {
  await page.route(`${ORIGIN}/**`, (route) => {
    const name = new URL(route.request().url()).pathname.slice(1);
    if (name === '') return route.fulfill({ contentType: 'text/html', body: '<!doctype html><title>sound</title>' });
    const source = readFileSync(`${SOUND}${name}.ts`, 'utf8');
    const { outputText } = ts.transpileModule(source, { compilerOptions: { target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext, verbatimModuleSyntax: true } });
    return route.fulfill({ contentType: 'text/javascript', body: outputText });
  });
  await page.goto(`${ORIGIN}/`);
}

/** What the modules are asked to play. */
export type Played = { tone: string } | { way: { kind: string; toward?: string; size?: number } | null; expanded: number };

export interface Heard {
  rate_hz: number;
  samples: number[];
}

/** Has the page's own player play into an offline context: a tone at once, the adjusting tone bit by bit as the page does. */
export async function hear(page: Page, played: Played, length_s: number, gain = 1, rate_hz = 16_000): Promise<Heard> {
  const samples = await page.evaluate(
    async ([what, length_s, gain, rate_hz]) => {
      const from = (name: string) => import(/* @vite-ignore */ `/${name}`);
      const [{ Player }, { notesOf }, { adjustingTone }] = await Promise.all([from('player'), from('tones'), from('adjusting')]);
      const context = new OfflineAudioContext(1, length_s * rate_hz, rate_hz);
      const player = new Player(context, gain);
      if ('tone' in what) player.play(notesOf(what.tone));
      else {
        const tone = adjustingTone(what.way, what.expanded);
        const [ahead_s, again_s] = [0.18, 0.06];
        player.hum(tone, ahead_s);
        for (let at_s = again_s; at_s < length_s; at_s += again_s) {
          void context.suspend(at_s).then(() => {
            player.hum(tone, ahead_s);
            void context.resume();
          });
        }
      }
      return [...(await context.startRendering()).getChannelData(0)];
    },
    [played, length_s, gain, rate_hz] as const,
  );
  return { rate_hz, samples };
}

/** Amplitude of one frequency between two times (Goertzel's recurrence). */
export function amplitude_at({ samples, rate_hz }: Heard, hz: number, from_s: number, to_s: number): number {
  const piece = samples.slice(Math.round(from_s * rate_hz), Math.round(to_s * rate_hz));
  const turn = (2 * Math.PI * hz) / rate_hz;
  let [one, two] = [0, 0];
  for (const sample of piece) [one, two] = [sample + 2 * Math.cos(turn) * one - two, one];
  return (2 * Math.hypot(one - two * Math.cos(turn), two * Math.sin(turn))) / piece.length;
}

/** The frequency with the most in it between two times, to 1 Hz. */
export function dominant_hz(heard: Heard, from_s: number, to_s: number): number {
  let best = { hz: 0, amplitude: 0 };
  for (let hz = 150; hz < 4500; hz += 1) {
    const amplitude = amplitude_at(heard, hz, from_s, to_s);
    if (amplitude > best.amplitude) best = { hz, amplitude };
  }
  return best.hz;
}

export interface Stretch {
  from_s: number;
  to_s: number;
}

/** Stretches in which something sounds. Gaps shorter than 12 ms do not part them. */
export function stretches({ samples, rate_hz }: Heard, least = 0.02): Stretch[] {
  const found: Stretch[] = [];
  for (const [nth, sample] of samples.entries()) {
    if (Math.abs(sample) < least) continue;
    const at_s = nth / rate_hz;
    const last = found.at(-1);
    if (last && at_s - last.to_s < 0.012) last.to_s = at_s;
    else found.push({ from_s: at_s, to_s: at_s });
  }
  return found;
}

/** The largest step from one sample to the next: a wave that is cut off has one of the height of the wave. */
export function largest_jump({ samples }: Heard): number {
  return samples.reduce((most, sample, nth) => Math.max(most, Math.abs(sample - (samples[nth - 1] ?? 0))), 0);
}

export function loudest({ samples }: Heard): number {
  return samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
}
