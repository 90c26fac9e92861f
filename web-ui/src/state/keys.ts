// Keys of a keyboard, a remote or a headset: they run the action at hand and repeat the sentence.
import { computed, effect, signal } from '@preact/signals';
import { confirmation, Held, isPressing, meaningOf, type KeyMeaning, type Landing } from './key-rules';
import { keptChoice, SWITCH } from './kept';
import { primary, shownNow, type Declared } from './primary';
import { repeatSentence, sound } from './voice';

/** Do keys run the action at hand? */
export const keys = keptChoice('hubplumb-keys', SWITCH, 'on');
/** Are the keys of a headset or remote asked for through the browser's media session? */
export const mediaKeys = keptChoice('hubplumb-media-keys', SWITCH, 'off');

/** Why headset keys do not arrive although they are wanted; null while they may. */
export const mediaTrouble = signal<'unsupported' | 'not_started' | null>(null);

/** A field is being typed into: keys belong to it. */
const typing = signal(false);

/** The action that a key would run now. */
export const underKey = computed<Declared | null>(() => (keys.at.value === 'on' ? primary.value : null));
/** Keys wait until the field that is being typed into is left. */
export const keysRest = computed(() => typing.value);

const TYPED_INTO = 'input:not([type=radio], [type=checkbox], [type=range], [type=button], [type=submit]), textarea, select, [contenteditable]:not([contenteditable=false])';
const CHOSEN_FROM = 'input[type=radio], input[type=checkbox], input[type=range]';
const PRESSED = 'button, a[href], summary, [role=button], input';

function landingOf(target: EventTarget | null): Landing {
  if (!(target instanceof Element)) return 'page';
  if (target.closest(TYPED_INTO)) return 'field';
  if (target.closest(CHOSEN_FROM)) return 'choice';
  const button = target.closest(PRESSED);
  if (!button) return 'page';
  return button === underKey.peek()?.button ? 'primary' : 'button';
}

/** Its middle is on the screen and nothing lies over it. */
function isInView(button: HTMLElement): boolean {
  const { left, top, width, height } = button.getBoundingClientRect();
  const found = document.elementFromPoint(left + width / 2, top + height / 2);
  return found !== null && (found === button || button.contains(found));
}

let last_ms = -Infinity;

/** Runs the action at hand if it may be run now. False when there is nothing a key could do. */
function confirm(): boolean {
  const action = underKey.peek();
  const now_ms = performance.now();
  switch (confirmation(action && { ...action, inView: isInView(action.button) }, now_ms, last_ms)) {
    case 'nothing':
      return false;
    case 'too_soon':
      return true;
    case 'show':
      if (action) {
        action.button.scrollIntoView({ block: 'center', behavior: 'instant' });
        shownNow(action);
      }
      return true;
    case 'run':
      last_ms = now_ms;
      sound('key');
      action?.button.click();
      return true;
  }
}

function obey(meaning: KeyMeaning): boolean {
  if (meaning === 'confirm') return confirm();
  return meaning === 'repeat' && repeatSentence();
}

const held = new Held();
/** Space presses a button when it is let go: also that belongs to us once its stroke did. */
let swallowSpace = false;

function strike(event: KeyboardEvent): void {
  const landing = landingOf(event.target);
  const first = held.strike(event.code, event.repeat);
  if (keys.at.peek() === 'off' || event.defaultPrevented || event.isComposing) return;
  const modified = event.ctrlKey || event.altKey || event.metaKey || event.shiftKey;
  const meaning = meaningOf({ key: event.key, modified, landing });
  // A held Enter would press a focused button again and again.
  const repeats = !first && (landing === 'button' || landing === 'primary') && isPressing(event.key);
  const ours = first ? obey(meaning) : meaning !== 'none' && (underKey.peek() !== null || meaning === 'repeat');
  if (first && !ours && meaning === 'confirm' && event.key.startsWith('Media')) sound('no_key');
  if (!ours && !repeats) return;
  event.preventDefault();
  if (event.key === ' ') swallowSpace = true;
}

function lift(event: KeyboardEvent): void {
  held.lift(event.code);
  if (event.key !== ' ' || !swallowSpace) return;
  swallowSpace = false;
  event.preventDefault();
}

/** A button that a finger pressed does not keep the keyboard: Enter would press it again instead of going on. */
function letGo({ detail, target }: MouseEvent): void {
  const { activeElement } = document;
  const pressed = target instanceof Element ? target.closest('button, a[href], summary') : null;
  if (detail > 0 && pressed !== null && pressed === activeElement && activeElement instanceof HTMLElement) activeElement.blur();
}

/** The media session needs something that plays: a few seconds of silence, over and over. */
let silence: HTMLAudioElement | null = null;

const MEDIA: readonly (readonly [MediaSessionAction, KeyMeaning])[] = [
  ['play', 'confirm'],
  ['pause', 'confirm'],
  ['nexttrack', 'confirm'],
  ['previoustrack', 'repeat'],
];

function hearMedia(on: boolean): void {
  if (!('mediaSession' in navigator)) {
    mediaTrouble.value = on ? 'unsupported' : null;
    return;
  }
  const { mediaSession } = navigator;
  for (const [action, meaning] of MEDIA) {
    const answer = (): void => {
      if (!obey(meaning)) sound('no_key');
      // The browser may have paused it: without something that plays no key arrives.
      void silence?.play().catch(() => undefined);
    };
    mediaSession.setActionHandler(action, on ? answer : null);
  }
  mediaSession.playbackState = on ? 'playing' : 'none';
  if (!on) {
    silence?.pause();
    mediaTrouble.value = null;
    return;
  }
  silence ??= Object.assign(new Audio(new URL('../sound/silence.wav', import.meta.url).href), { loop: true });
  silence.play().then(
    () => (mediaTrouble.value = null),
    () => (mediaTrouble.value = 'not_started'),
  );
}

/** Begins to listen. Called once. */
export function followKeys(): void {
  document.addEventListener('keydown', strike);
  document.addEventListener('keyup', lift);
  document.addEventListener('click', letGo);
  window.addEventListener('blur', () => held.forget());
  const look = (): void => {
    typing.value = document.activeElement?.matches(TYPED_INTO) === true;
  };
  document.addEventListener('focusin', look);
  document.addEventListener('focusout', () => setTimeout(look));
  effect(() => hearMedia(mediaKeys.at.value === 'on' && keys.at.value === 'on'));
  // After loading, sound waits for a touch; the silence is tried again with it.
  const again = (): void => {
    if (mediaTrouble.peek() === 'not_started') hearMedia(true);
  };
  document.addEventListener('pointerup', again);
  document.addEventListener('keyup', again);
}
