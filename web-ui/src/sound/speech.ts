// Which voice speaks, and why none does. Pure.

/** What is asked of a voice of the browser. */
export interface VoiceFacts {
  readonly lang: string;
  readonly localService: boolean;
  readonly default: boolean;
}

export type SpeechState =
  | 'ready'
  /** This browser cannot speak. */
  | 'no_speech'
  /** It could, but the device has no voice, or has not told of one yet. */
  | 'no_voice'
  /** There are voices, none of them of the language of the page. */
  | 'no_voice_of_language';

const codeOf = (tag: string): string => tag.toLowerCase().split(/[-_]/)[0] ?? '';

/** The voice for a language: one on the device before one that needs the internet, then the browser's own choice. */
export function chooseVoice<V extends VoiceFacts>(voices: readonly V[], language: string): V | null {
  const of_language = voices.filter(({ lang }) => codeOf(lang) === codeOf(language));
  const rank = (voice: V): number => (voice.localService ? 2 : 0) + (voice.default ? 1 : 0);
  return of_language.reduce<V | null>((best, voice) => (best === null || rank(voice) > rank(best) ? voice : best), null);
}

/** `voices` is null in a browser that cannot speak. */
export function speechState(voices: readonly VoiceFacts[] | null, language: string): SpeechState {
  if (voices === null) return 'no_speech';
  if (voices.length === 0) return 'no_voice';
  return chooseVoice(voices, language) === null ? 'no_voice_of_language' : 'ready';
}
