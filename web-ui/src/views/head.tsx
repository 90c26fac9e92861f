// The slim head: name, link to the daemon, and whether the car is a simulated one.
import { daemon, link, silence_s } from '../state';
import { chooseLanguage, language, LANGUAGES, OWN_NAME } from '../state/language';
import { age } from '../state/shown';
import { turnVoice, voiceOn } from '../state/voice';
import { texts } from '../texts';
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

export function Head() {
  const scenario = daemon.value?.scenario;
  return (
    <header class="head">
      <h1>
        <Shape name="bob" />
        {texts.head.name}
      </h1>
      <Connection />
      {scenario && (
        <p class="simulated" data-testid="scenario" title={scenario.about}>
          <b>{texts.head.simulated}:</b> <span>{scenario.name},</span> {texts.head.seed(scenario.seed)}
        </p>
      )}
      <LanguageChoice />
      <button type="button" class="voice" aria-label={texts.head.voice} aria-pressed={voiceOn.value} onClick={() => turnVoice(!voiceOn.value)}>
        {voiceOn.value ? texts.head.voiceOn : texts.head.voiceOff}
      </button>
    </header>
  );
}
