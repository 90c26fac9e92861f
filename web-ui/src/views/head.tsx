// The slim head: name, link to the daemon, and whether the car is a simulated one.
import { useEffect, useRef } from 'preact/hooks';
import { link, silence_s } from '../state';
import { LANGUAGES } from '../state/choices';
import { chooseLanguage, language, OWN_NAME } from '../state/language';
import { scenarioNow } from '../state/sections';
import { loadNewer, newerPage } from '../state/kept-page';
import { age } from '../state/shown';
import { chooseTheme, theme, themeAfter } from '../state/theme';
import { texts } from '../texts';
import { HandsFree } from './hands-free';
import { ReachButton } from './reach-button';
import { Shape } from './shapes';

function Connection() {
  const silent_s = silence_s.value;
  const state = link.value;
  const words =
    state === 'live'
      ? texts.head.live
      : state === 'connecting'
        ? texts.head.connecting
        : silent_s === null
          ? texts.head.neverMet
          : texts.head.lost(age(silent_s));
  return (
    <p class={`connection connection-${state}`} data-testid="connection" data-link={state}>
      <Shape name={state === 'live' ? 'live' : state === 'lost' ? 'broken' : 'listening'} />
      {words}
    </p>
  );
}

/** Every other language under its own name: found by whoever cannot read the one that is shown. */
function LanguageChoice() {
  return (
    <>
      {LANGUAGES.filter((one) => one !== language.value).map((one) => (
        <button type="button" class="language" key={one} lang={one} onClick={() => void chooseLanguage(one)} data-testid={`language-${one}`}>
          {OWN_NAME[one]}
        </button>
      ))}
    </>
  );
}

/** One press goes on to the next ink; the button says which is in force. */
function ThemeSwitch() {
  return (
    <button type="button" class="theme" title={texts.head.theme} data-testid="theme" data-theme-now={theme.value} onClick={() => chooseTheme(themeAfter(theme.value))}>
      {texts.head.themes[theme.value]}
    </button>
  );
}

/** Tells the styles how high the head is: with languages, sizes of text and tablets it differs. */
function useHeight(head: { current: HTMLElement | null }): void {
  useEffect(() => {
    const { current } = head;
    if (!current) return undefined;
    const watch = new ResizeObserver(() => document.documentElement.style.setProperty('--head', `${current.offsetHeight}px`));
    watch.observe(current);
    return () => watch.disconnect();
  }, []);
}

export function Head() {
  const head = useRef<HTMLElement>(null);
  useHeight(head);
  const scenario = scenarioNow.value?.scenario;
  return (
    <header class="head" ref={head}>
      <h1>
        <Shape name="bob" />
        {texts.head.name}
      </h1>
      <Connection />
      {scenario && (
        <p class="simulated" data-may-be-cut data-testid="scenario" title={scenario.about}>
          <b>{texts.head.simulated}:</b> <span>{`${scenario.name}, ${texts.head.seed(scenario.seed)}`}</span>
        </p>
      )}
      <LanguageChoice />
      <ThemeSwitch />
      <HandsFree />
      {newerPage.value && (
        <button type="button" class="newer" onClick={loadNewer} data-testid="newer">
          {texts.reach.newer}
        </button>
      )}
      <ReachButton />
    </header>
  );
}
