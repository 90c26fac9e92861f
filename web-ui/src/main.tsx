// First of all, before anything that draws.
import './state/begin';
import { render } from 'preact';
import { daemon } from './state';
import { startLanguage } from './state/language';
import { afterFirst, settleAfterFirst, toldOrLate } from './state/settled';
import { opensOnFigures } from './state/steps';
import { followTheme } from './state/theme';
import { FirstFigures } from './views/first-figures';
import wholeStyles from './styles/page.css?url';
import './styles/first.css';

/** A line that breaks off leaves nothing half: it is asked for again after this long. */
const AGAIN_MS = 1000;

function styled(): Promise<unknown> {
  const styles = Object.assign(document.createElement('link'), { rel: 'stylesheet', href: wholeStyles });
  return new Promise((loads, fails) => {
    styles.onload = loads;
    styles.onerror = () => fails(styles.remove());
    document.head.append(styles);
  });
}

function drawWhole(root: HTMLElement): void {
  Promise.all([import('./whole'), styled()]).then(
    ([{ showWhole }]) => showWhole(root),
    () => setTimeout(drawWhole, AGAIN_MS, root),
  );
}

const root = document.getElementById('page');
if (root) {
  // The face of the figures is opened now; asked for by the first drawing it would come a frame later.
  void document.fonts.load("600 1em 'hubplumb figures'");
  followTheme();
  // The first drawing waits for the daemon's answer a little: drawn twice, an old tablet would show its
  // first figure a good deal later. The words of the kept language are there before anything is drawn;
  // without them it is English.
  void Promise.all([startLanguage(), toldOrLate()]).then(() => {
    const state = daemon.peek();
    if (state === null || !opensOnFigures(state)) {
      settleAfterFirst();
      drawWhole(root);
      return;
    }
    // Figures alone are there in half of the time that the whole page takes.
    render(<FirstFigures />, root);
    settleAfterFirst();
    afterFirst(() => drawWhole(root));
  });
}
