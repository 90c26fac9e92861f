// The whole page, in the place of the first figures.
import { render } from 'preact';
import type { Glance } from './glance';
import { follow, knowFirst } from './state';
import { followAdjusting } from './state/adjusting';
import { stayAwake } from './state/awake';
import { followKeys } from './state/keys';
import { keepPage } from './state/kept-page';
import { startLanguage } from './state/language';
import { pairByAddress } from './state/pairing';
import { followReach } from './state/reach';
import { afterFirst, settleAfterFirst } from './state/settled';
import { followTrails } from './state/swing-trail';
import { followTheme } from './state/theme';
import { followVisit } from './state/visit';
import { followVoice } from './state/voice';
import { Page } from './views/page';

/** A line that breaks off leaves nothing half: words are asked for again after this long. */
const AGAIN_MS = 1000;

/** Top of the line at hand on the screen, if there is one. */
const atHand_px = (root: HTMLElement): number | undefined => root.querySelector('.line-at-hand')?.getBoundingClientRect().top;

/** The figures stay where whoever looks at them found them, with the rest of the worksheet above and below. */
function keepPlace(root: HTMLElement, before_px: number | undefined): void {
  const now_px = atHand_px(root);
  const head = root.querySelector<HTMLElement>('.head');
  if (before_px === undefined || now_px === undefined || head === null) return;
  const covered_px = getComputedStyle(head).position === 'sticky' ? head.offsetHeight : 0;
  scrollBy({ top: now_px - Math.max(before_px, covered_px), behavior: 'instant' });
}

/** Called once. */
export async function showWhole(root: HTMLElement, glance: Glance): Promise<void> {
  while (!(await startLanguage())) await new Promise((again) => setTimeout(again, AGAIN_MS));
  glance.stop();
  const first = glance.newest();
  if (first) knowFirst(first.state, first.told_ms);
  followTheme();
  follow();
  const before_px = atHand_px(root);
  root.replaceChildren();
  render(<Page />, root);
  keepPlace(root, before_px);
  settleAfterFirst();
  followKeys();
  followVisit();
  afterFirst(() => {
    followVoice();
    followAdjusting();
    followTrails();
    stayAwake();
    followReach();
    pairByAddress();
    // While the page is being drawn (`npm run dev`) nothing may be kept of it.
    if (import.meta.env.PROD) keepPage();
  });
}
