// The first figures: asked for, drawn, and asked for again until the page takes their place.
import { FRESH_S, now_ms } from '../contract/clock';
import type { StateView } from '../contract/types';
import type { AngleStyle } from '../format/angles';
import { opensOnFigures } from '../state/steps';
import type { GlanceTexts } from '../texts/shape';
import { figures } from './figures';

/** For so long the daemon's first answer is waited for before the page is drawn without figures, ms. */
const LATE_MS = 400;
/** An answer that takes longer is none, ms. */
const ASK_MS = 1000;
/** What was told is asked for anew after this long, ms. */
const AGAIN_MS = 700;
const LOOK_MS = 250;

/** What the daemon told, and when, by the page's clock. */
export interface First {
  state: StateView;
  told_ms: number;
}

async function ask(language: string, wait_ms: number): Promise<First | null> {
  try {
    const answer = await fetch('api/v1/state', { headers: { 'accept-language': language }, signal: AbortSignal.timeout(wait_ms) });
    return answer.ok ? { state: (await answer.json()) as StateView, told_ms: now_ms() } : null;
  } catch {
    return null;
  }
}

/** Whoever opens the page at the figures sees them; `newest` is what was told last, `stop` ends it. */
export interface Glance {
  newest(): First | null;
  stop(): void;
}

/** Draws the figures if the page opens on them; ready once they are painted, or there will be none for now. */
export async function glance(root: HTMLElement, language: string, words: GlanceTexts, style: AngleStyle): Promise<Glance> {
  let newest = await ask(language, LATE_MS);
  if (newest === null || !opensOnFigures(newest.state)) return { newest: () => newest, stop: () => undefined };
  const since_ms = ({ told_ms }: First): number => now_ms() - told_ms;
  const draw = (first: First): void => root.replaceChildren(...figures({ state: first.state, since_s: since_ms(first) / 1000 }, words, style));
  draw(newest);
  let asking = false;
  let ended = false;
  const look = async (): Promise<void> => {
    if (newest !== null && since_ms(newest) > FRESH_S * 1000) draw(newest);
    if (newest === null || asking || since_ms(newest) < AGAIN_MS) return;
    asking = true;
    const told = await ask(language, ASK_MS);
    asking = false;
    if (ended || told === null) return;
    newest = told;
    draw(newest);
  };
  const looks = setInterval(() => void look(), LOOK_MS);
  // The frame after the one that drew them. A page out of sight draws none: there a time does.
  await new Promise((painted) => {
    requestAnimationFrame(() => requestAnimationFrame(painted));
    setTimeout(painted, 1000);
  });
  return {
    newest: () => newest,
    stop: () => {
      ended = true;
      clearInterval(looks);
    },
  };
}
