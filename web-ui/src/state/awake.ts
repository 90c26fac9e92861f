// Keeps the tablet's screen on while somebody looks at it from afar, where the browser allows it.
import { batch, computed, effect, signal, type ReadonlySignal } from '@preact/signals';
import { runOutOnStage, silence_s, swingOnStage } from './index';
import { benchOnStage } from './calibrating';
import { checkOnStage } from './checking';
import { keptChoice, SWITCH } from './kept';
import { stepOnStage } from './visit';

export type AwakeState =
  /** The screen stays on. */
  | 'kept'
  /** Nothing asks for it. */
  | 'not_wanted'
  /** The page is not shown. */
  | 'hidden'
  /** Browsers allow it over HTTPS alone. */
  | 'insecure'
  /** This browser cannot. */
  | 'unsupported'
  /** It was asked for and not given, as when the battery is low or being saved. */
  | 'not_allowed'
  /** It has been asked for. */
  | 'asked';

/** What a browser has for it; a test has its own. */
export interface ScreenWorld {
  readonly secure: boolean;
  /** Null where the browser has no wake lock. */
  readonly request: (() => Promise<ScreenLock>) | null;
  isShown(): boolean;
  onShownChange(then: () => void): void;
}

export interface ScreenLock {
  release(): Promise<void>;
  onRelease(then: () => void): void;
}

/** Holds the screen for as long as it is wanted and the page is shown; asks again when it was taken away. */
export function holdScreen(world: ScreenWorld, wanted: ReadonlySignal<boolean>): { state: ReadonlySignal<AwakeState>; again: () => void } {
  const shown = signal(world.isShown());
  const lock = signal<ScreenLock | null>(null);
  const refused = signal(false);
  /** What was refused is not asked for again until something has changed. */
  const resting = signal(false);
  let asking = false;

  const ask = async (): Promise<void> => {
    if (world.request === null || asking) return;
    asking = true;
    const given = await world.request().catch(() => null);
    asking = false;
    refused.value = given === null;
    resting.value = given === null;
    if (given === null) return;
    given.onRelease(() => {
      if (lock.peek() !== given) return;
      // Taken away most often because the page went to the back, which may not have been told yet.
      batch(() => {
        shown.value = world.isShown();
        lock.value = null;
      });
    });
    lock.value = given;
  };

  world.onShownChange(() => {
    shown.value = world.isShown();
    // What was refused before may be given now.
    if (shown.value) resting.value = false;
  });
  effect(() => {
    const due = wanted.value && shown.value;
    const held = lock.value;
    if (due && held === null && !resting.value) void ask();
    if (!due && held !== null) {
      lock.value = null;
      void held.release().catch(() => undefined);
    }
  });
  const state = computed<AwakeState>(() => {
    if (!wanted.value) return 'not_wanted';
    if (world.request === null) return world.secure ? 'unsupported' : 'insecure';
    if (!shown.value) return 'hidden';
    if (lock.value !== null) return 'kept';
    return refused.value ? 'not_allowed' : 'asked';
  });
  return { state, again: () => (resting.value = false) };
}

/** Is the screen to stay on also while nothing is under way? */
export const screenOn = keptChoice('hubplumb-screen', SWITCH, 'on');

/** A page whose daemon has been gone for so long is watched by nobody. */
const GIVEN_UP_S = 600;

/** Something takes the whole screen: it is read from afar. */
export const onStage = computed(() => swingOnStage.value || runOutOnStage.value || checkOnStage.value !== null || benchOnStage.value !== null || stepOnStage.value !== null);

const wanted = computed(() => onStage.value || (screenOn.at.value === 'on' && (silence_s.value ?? 0) < GIVEN_UP_S));

const BROWSER: ScreenWorld = {
  secure: globalThis.isSecureContext === true,
  request:
    'navigator' in globalThis && 'wakeLock' in navigator
      ? async () => {
          const held = await navigator.wakeLock.request('screen');
          return { release: () => held.release(), onRelease: (then) => held.addEventListener('release', then) };
        }
      : null,
  isShown: () => document.visibilityState === 'visible',
  onShownChange: (then) => document.addEventListener('visibilitychange', then),
};

/** Whether the screen stays on, and if not, why. */
export const awake = signal<AwakeState>('not_wanted');

/** The reason that was read and put away on this page; another one is told again. */
export const awakeRead = keptChoice('hubplumb-screen-read', ['none', 'insecure', 'unsupported', 'not_allowed'] as const, 'none');

/** The reason why the screen may go dark during work; null while it does not, or once that was read. */
export const awakeTrouble = computed(() => {
  const state = awake.value;
  const trouble = state === 'insecure' || state === 'unsupported' || state === 'not_allowed' ? state : null;
  return trouble !== null && trouble !== awakeRead.at.value ? trouble : null;
});

/** Begins to keep the screen on. Called once. */
export function stayAwake(): void {
  const { state, again } = holdScreen(BROWSER, wanted);
  effect(() => void (awake.value = state.value));
  // A charger may have been plugged in since.
  document.addEventListener('pointerup', again);
}
