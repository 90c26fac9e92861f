// The slim head: name, link to the daemon, and whether the car is a simulated one.
import { age } from '../format/numbers';
import { daemon, link, silence_s } from '../state';
import { turnVoice, voiceOn } from '../state/voice';
import { head as texts } from '../texts/en';
import { Shape } from './shapes';

function Connection() {
  const silent_s = silence_s.value;
  const state = link.value;
  const words =
    state === 'live'
      ? texts.live
      : state === 'connecting'
        ? texts.connecting
        : silent_s === null
          ? texts.neverMet
          : texts.lost(age(silent_s));
  return (
    <p class={`connection connection-${state}`} data-testid="connection" data-link={state}>
      <Shape name={state === 'live' ? 'live' : state === 'lost' ? 'broken' : 'listening'} />
      {words}
    </p>
  );
}

export function Head() {
  const scenario = daemon.value?.scenario;
  return (
    <header class="head">
      <h1>
        <Shape name="bob" />
        {texts.name}
      </h1>
      <Connection />
      {scenario && (
        <p class="simulated" data-testid="scenario" title={scenario.about}>
          <b>{texts.simulated}:</b> <span>{scenario.name},</span> {texts.seed(scenario.seed)}
        </p>
      )}
      <button type="button" class="voice" aria-label={texts.voice} aria-pressed={voiceOn.value} onClick={() => turnVoice(!voiceOn.value)}>
        {voiceOn.value ? texts.voiceOn : texts.voiceOff}
      </button>
    </header>
  );
}
