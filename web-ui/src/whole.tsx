// The whole page, in the place of the first figures, and what only it needs.
import { render } from 'preact';
import { followAdjusting } from './state/adjusting';
import { stayAwake } from './state/awake';
import { followKeys } from './state/keys';
import { keepPage } from './state/kept-page';
import { allWords } from './state/language';
import { pairByAddress } from './state/pairing';
import { followReach } from './state/reach';
import { afterFirst } from './state/settled';
import { followTrails } from './state/swing-trail';
import { followVisit } from './state/visit';
import { followVoice } from './state/voice';
import { Page } from './views/page';

/** A line that breaks off leaves nothing half: words are asked for again after this long. */
const AGAIN_MS = 1000;

/** Called once. */
export async function showWhole(root: HTMLElement): Promise<void> {
  while (!(await allWords())) await new Promise((again) => setTimeout(again, AGAIN_MS));
  render(<Page />, root);
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
