// Tones and spoken sentences, for a hand on the wheel and eyes off the page.
import { batch, computed, effect, signal } from '@preact/signals';
import type { AdjustingTone } from '../sound/adjusting';
import { coursesOf, cueBetween, isCutShort, standing, type Course, type FloorSentences } from '../sound/cues';
import { Player } from '../sound/player';
import { chooseVoice, speechState } from '../sound/speech';
import { GAIN, LOUDNESS, notesOf, type Note, type ToneName } from '../sound/tones';
import { texts } from '../texts';
import { daemon, problem } from './index';
import { keptChoice, SWITCH } from './kept';
import { language, locale } from './language';
import { refused } from './visit';

export const SOUNDS = ['both', 'tones', 'speech', 'none'] as const;
export type Sounds = (typeof SOUNDS)[number];

/** What is heard, kept on this tablet. */
export const sounds = keptChoice('hubplumb-sounds', SOUNDS, 'tones');
/** How loud the tones are; speech goes by the loudness of the device. */
export const loudness = keptChoice('hubplumb-loudness', LOUDNESS, 'loud');

/** Is the adjusting tone wanted? It may be, also where the work's other tones are not. */
export const adjustingSound = keptChoice('hubplumb-adjusting', SWITCH, 'off');

export const tonesOn = computed(() => sounds.at.value === 'tones' || sounds.at.value === 'both');
export const speechOn = computed(() => sounds.at.value === 'speech' || sounds.at.value === 'both');

/** Can tones be heard? Browsers let a page sound only after a touch or a key. */
export const toneState = signal<'waiting' | 'ready' | 'absent'>('AudioContext' in globalThis ? 'waiting' : 'absent');

/** Has the page been touched, or a key struck, since it was loaded? Before that no browser lets it sound or speak. */
export const touched = signal(false);

const voices = signal<readonly SpeechSynthesisVoice[] | null>('speechSynthesis' in globalThis ? [] : null);
export const speech = computed(() => speechState(voices.value, language.value));

/** The sentence that was told last, spoken or not. */
const told = signal<string | null>(null);
/** The sentence of the adjusting at hand; it is what there is to repeat while a step is on stage. */
export const standingWords = signal<string | null>(null);

/** What repeating would repeat. */
export const sentence = computed(() => standingWords.value ?? (daemon.value === null ? null : standing(coursesOf(daemon.value, floorSentences()))) ?? told.value);

let player: Player | null = null;
let audio: AudioContext | null = null;

/** Makes the sound ready; only a touch or a key may do it. */
export function readySound(): void {
  if (toneState.peek() === 'absent') return;
  if (audio === null) {
    const made = new AudioContext();
    const look = (): void => {
      toneState.value = made.state === 'running' ? 'ready' : 'waiting';
    };
    made.addEventListener('statechange', look);
    audio = made;
    player = new Player(made, GAIN[loudness.at.peek()]);
    look();
  }
  if (audio.state !== 'running') void audio.resume().catch(() => undefined);
}

/** Sounds a tone if it is wanted. */
export function sound(tone: ToneName, isWanted = tonesOn.peek()): void {
  if (isWanted && toneState.peek() === 'ready') player?.play(notesOf(tone));
}

/** Sounds notes whatever is wanted: somebody wants to hear what they are like. */
export async function tryNotes(notes: readonly Note[]): Promise<void> {
  readySound();
  await audio?.resume().catch(() => undefined);
  player?.play(notes);
}

/** Has the adjusting tone sound for a short while from now. */
export function hum(tone: AdjustingTone, ahead_s: number): void {
  if (toneState.peek() === 'ready') player?.hum(tone, ahead_s);
}

/** Speaks, unless there is no voice that could: foreign words in the voice of another language help nobody. */
function speak(words: string): void {
  const state = speech.peek();
  // Some browsers speak without ever telling of a voice.
  if (words === '' || (state !== 'ready' && state !== 'no_voice')) return;
  speechSynthesis.cancel();
  const spoken = new SpeechSynthesisUtterance(words);
  const voice = chooseVoice(voices.peek() ?? [], language.peek());
  spoken.lang = voice?.lang ?? locale.peek();
  if (voice) spoken.voice = voice;
  const over = (): void => player?.hush(false);
  spoken.onstart = () => player?.hush(true);
  spoken.onend = over;
  spoken.onerror = over;
  speechSynthesis.speak(spoken);
}

/** Speaks the sentence once more. False when there is none or nothing is to be heard. */
export function repeatSentence(): boolean {
  const words = sentence.peek();
  if (words === null || !speechOn.peek()) return false;
  speak(words);
  return true;
}

function floorSentences(): FloorSentences {
  const { lines } = texts.floor;
  const { turnEdge, lineTaken, heightsTaken } = texts.handsFree;
  return { turnEdge: (line) => turnEdge(lines[line]), lineTaken: (line) => lineTaken(lines[line]), heightsTaken };
}

function tell(tone: ToneName | null, say: string | null): void {
  if (tone !== null) sound(tone);
  if (say === null) return;
  told.value = say;
  if (speechOn.peek()) speak(say);
}

/** Follows the work and what was refused, and is heard when something changes. Called once. */
export function followVoice(): void {
  let before: readonly Course[] | null = null;
  effect(() => {
    const state = daemon.value;
    if (!state) return;
    const now = coursesOf(state, floorSentences());
    const { tone, say } = cueBetween(before, now);
    if (isCutShort(before, now) && voices.peek() !== null) speechSynthesis.cancel();
    before = now;
    tell(tone, say);
  });
  for (const shown of [computed(() => problem.value), computed(() => refused.value?.problem ?? null)]) {
    effect(() => {
      if (shown.value !== null) tell('refused', `${shown.value.title}. ${shown.value.remedy}`);
    });
  }
  effect(() => {
    const gain = GAIN[loudness.at.value];
    player?.loudness(gain);
  });
  followVoices();
  const touch = (): void => {
    touched.value = true;
    if (tonesOn.peek() || adjustingSound.at.peek() === 'on') readySound();
  };
  for (const by of ['pointerup', 'keydown'] as const) document.addEventListener(by, touch, { capture: true });
}

/** Voices come late, and may come and go. */
function followVoices(): void {
  if (voices.peek() === null) return;
  const look = (): void => batch(() => void (voices.value = speechSynthesis.getVoices()));
  look();
  speechSynthesis.addEventListener?.('voiceschanged', look);
}
