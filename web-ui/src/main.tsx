// First of all, before anything that draws.
import './state/begin';
import { render } from 'preact';
import { followAdjusting } from './state/adjusting';
import { stayAwake } from './state/awake';
import { followKeys } from './state/keys';
import { startLanguage } from './state/language';
import { afterFirst, settleAfterFirst, toldOrLate } from './state/settled';
import { followTheme } from './state/theme';
import { followTrails } from './state/swing-trail';
import { keepPage } from './state/kept-page';
import { pairByAddress } from './state/pairing';
import { followReach } from './state/reach';
import { followVisit } from './state/visit';
import { followVoice } from './state/voice';
import { fetchRestAfterFirst } from './views/later';
import { Page } from './views/page';
import './styles/page.css';

const root = document.getElementById('page');
if (root) {
  // The face of the figures is opened now; asked for by the first drawing it would come a frame later.
  void document.fonts.load("600 1em 'hubplumb figures'");
  followTheme();
  // The first drawing waits for the daemon's answer a little: drawn twice, an old tablet would show its
  // first figure a good deal later. The words of the kept language are there before anything is drawn;
  // without them it is English.
  void Promise.all([startLanguage(), toldOrLate()]).then(() => {
    render(<Page />, root);
    followKeys();
    followVisit();
    settleAfterFirst();
    fetchRestAfterFirst();
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
  });
}
