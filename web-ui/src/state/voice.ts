// Tones and spoken sentences, for a hand on the wheel and eyes off the page.
import { effect, signal } from '@preact/signals';
import { calibrationDeed, onBench } from './calibration';
import { daemon } from './index';
import { checkDeed, checkUnderWay } from './checks';
import { running, runOutDeed } from './levelling';
import { locale } from './language';
import { deedOf, isUnderWay, type Deed } from './steps';

const KEPT_AS = 'hubplumb-voice';

function kept(): boolean {
  try {
    return localStorage.getItem(KEPT_AS) === 'on';
  } catch {
    return false; // storage may be forbidden; the switch then starts at off
  }
}

/** Are tones and speech wanted? Kept on this tablet. */
export const voiceOn = signal(kept());

let audio: AudioContext | null = null;

/** Pitch and number of beeps per deed: low and single for hold, rising for what is done. */
const TONES: Partial<Record<Deed, readonly number[]>> = {
  hold: [330],
  move: [660, 660],
  done: [523, 659, 784],
  refused: [220, 220, 220],
};

function beep(deed: Deed): void {
  const tones_hz = TONES[deed];
  if (!audio || !tones_hz) return;
  tones_hz.forEach((tone_hz, nth) => {
    if (!audio) return;
    const start_s = audio.currentTime + nth * 0.22;
    const tone = audio.createOscillator();
    const loudness = audio.createGain();
    tone.frequency.value = tone_hz;
    loudness.gain.setValueAtTime(0.25, start_s);
    loudness.gain.linearRampToValueAtTime(0, start_s + 0.18);
    tone.connect(loudness).connect(audio.destination);
    tone.start(start_s);
    tone.stop(start_s + 0.2);
  });
}

function speak(sentence: string): void {
  if (!('speechSynthesis' in window) || sentence === '') return;
  speechSynthesis.cancel();
  const spoken = new SpeechSynthesisUtterance(sentence);
  spoken.lang = locale.peek();
  speechSynthesis.speak(spoken);
}

/** Browsers let a page sound only after a touch, so the sound is made ready by one. */
export function turnVoice(on: boolean): void {
  voiceOn.value = on;
  try {
    localStorage.setItem(KEPT_AS, on ? 'on' : 'off');
  } catch {
    // not kept then
  }
  if (on) readySound();
}

export function readySound(): void {
  if (voiceOn.value && 'AudioContext' in window) audio ??= new AudioContext();
  void audio?.resume();
}

/** Follows the swing, or the board on the bench, and speaks what it says, once per new sentence. */
export function followVoice(): void {
  let said = '';
  let did: Deed = 'idle';
  effect(() => {
    const state = daemon.value;
    if (!state) return;
    // A wheel that is being turned speaks first; swing and run-out never run together,
    // and a board on the bench waits for both.
    const turning = running(state)[0];
    const check = checkUnderWay(state);
    const bench = turning !== undefined || check !== null || isUnderWay(state.swing) ? null : onBench(state);
    const say = turning?.say ?? check?.say ?? bench?.procedure.say ?? state.swing.say;
    const deed = turning ? runOutDeed(turning.phase) : check !== null ? checkDeed(check.phase) : bench !== null ? calibrationDeed(bench.procedure.phase) : deedOf(state.swing.phase);
    const fresh = say !== said;
    const changed = deed !== did;
    said = say;
    did = deed;
    if (!voiceOn.peek() || deed === 'idle') return;
    if (changed) beep(deed);
    if (fresh) speak(say);
  });
}
