import { describe, expect, it } from 'vitest';
import { chooseVoice, speechState } from '../src/sound/speech';

const voice = (lang: string, localService = true, first = false) => ({ lang, localService, default: first });

describe('the voice', () => {
  it('is of the language, on the device before from the internet, then the own choice of the browser', () => {
    const voices = [voice('fr-FR', true, true), voice('de-DE', false, true), voice('de_AT'), voice('de-CH', true, true)];
    expect(chooseVoice(voices, 'de')).toBe(voices[3]);
    expect(chooseVoice(voices.slice(0, 3), 'de')).toBe(voices[2]);
    expect(chooseVoice(voices.slice(0, 2), 'de')).toBe(voices[1]);
    expect(chooseVoice(voices, 'en')).toBeNull();
  });

  it('is not taken for another language that begins alike', () => {
    expect(chooseVoice([voice('den-CA'), voice('eng')], 'de')).toBeNull();
    expect(chooseVoice([voice('DE')], 'de')).not.toBeNull();
  });

  it.each([
    [null, 'no_speech'],
    [[], 'no_voice'],
    [[voice('fr-FR')], 'no_voice_of_language'],
    [[voice('fr-FR'), voice('de-DE')], 'ready'],
  ] as const)('with %j speech is %s', (voices, state) => expect(speechState(voices, 'de')).toBe(state));
});
