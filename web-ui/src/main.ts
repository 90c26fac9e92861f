// The first script: it draws the live figures with next to nothing, then fetches the page, which takes their place.
import { glance, type Glance } from './glance';
import { firstLanguage, firstNotation, firstTheme, LOCALE } from './state/choices';
import { glance as german } from './texts/de/glance';
import { glance as english } from './texts/en/glance';
import { fetchWords } from './texts/fetch';
import wholeStyles from './styles/page.css?url';
import './styles/first.css';

/** A line that breaks off leaves nothing half: it is asked for again after this long. */
const AGAIN_MS = 1000;

const language = firstLanguage();

function styled(): Promise<unknown> {
  const styles = Object.assign(document.createElement('link'), { rel: 'stylesheet', href: wholeStyles });
  return new Promise((loads, fails) => {
    styles.onload = loads;
    styles.onerror = () => fails(styles.remove());
    document.head.append(styles);
  });
}

function drawWhole(root: HTMLElement, first: Glance): void {
  Promise.all([import('./whole'), fetchWords[language](), styled()]).then(
    ([{ showWhole }]) => showWhole(root, first),
    () => setTimeout(drawWhole, AGAIN_MS, root, first),
  );
}

const root = document.getElementById('page');
if (root) {
  // The face of the figures is opened now; asked for by the first drawing it would come a frame later.
  void document.fonts.load("600 1em 'hubplumb figures'");
  document.documentElement.lang = language;
  document.documentElement.dataset['theme'] = firstTheme();
  const style = { notation: firstNotation(), locale: LOCALE[language] };
  void glance(root, language, language === 'de' ? german : english, style).then((first) => drawWhole(root, first));
}
