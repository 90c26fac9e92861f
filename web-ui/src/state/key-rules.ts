// What a struck key means, and whether the action at hand may be run by it. Pure.

/** Where the key lands. */
export type Landing =
  /** Nowhere in particular. */
  | 'page'
  /** A field that is typed into, or a list: every key is its own. */
  | 'field'
  /** A radio button, a tick box or a slider: it has uses for Space, Enter and the arrows. */
  | 'choice'
  /** A button or link other than the action at hand. */
  | 'button'
  /** The button of the action at hand. */
  | 'primary';

export interface Struck {
  key: string;
  /** Ctrl, Alt or Meta is down, or Shift. */
  modified: boolean;
  landing: Landing;
}

export type KeyMeaning = 'confirm' | 'repeat' | 'none';

const MEANS: Readonly<Record<string, KeyMeaning>> = {
  Enter: 'confirm',
  ' ': 'confirm',
  PageDown: 'confirm',
  ArrowRight: 'confirm',
  MediaPlayPause: 'confirm',
  MediaPlay: 'confirm',
  MediaPause: 'confirm',
  MediaTrackNext: 'confirm',
  PageUp: 'repeat',
  ArrowLeft: 'repeat',
  MediaTrackPrevious: 'repeat',
};

/** Keys that a focused button answers to by itself. */
export const isPressing = (key: string): boolean => key === 'Enter' || key === ' ';
const isArrow = (key: string): boolean => key.startsWith('Arrow');

export function meaningOf({ key, modified, landing }: Struck): KeyMeaning {
  const meaning = Object.hasOwn(MEANS, key) ? (MEANS[key] ?? 'none') : 'none';
  if (modified || landing === 'field') return 'none';
  if (landing === 'choice' && (isPressing(key) || isArrow(key))) return 'none';
  if (landing === 'button' && isPressing(key)) return 'none';
  return meaning;
}

/** A confirm is not for an action that has only just appeared: it was meant for the one before. */
export const SETTLE_MS = 400;

/** The action at hand as the keys see it. */
export interface Candidate {
  /** Since when it stands there in its present sense, page clock. */
  since_ms: number;
  /** How long it must have stood. */
  settle_ms: number;
  /** Can it be seen on the screen? */
  inView: boolean;
}

export type Confirmation =
  | 'run'
  /** Nothing here is run by a key. */
  | 'nothing'
  /** It has only just appeared, or a key has only just run something. */
  | 'too_soon'
  /** It is off the screen: it is shown first, and nothing is run that nobody has seen. */
  | 'show';

export function confirmation(action: Candidate | null, now_ms: number, last_ms: number): Confirmation {
  if (action === null) return 'nothing';
  if (now_ms - action.since_ms < action.settle_ms || now_ms - last_ms < SETTLE_MS) return 'too_soon';
  return action.inView ? 'run' : 'show';
}

/** Keys that are down, so that a held one counts once even where the browser does not say that it repeats. */
export class Held {
  private readonly down = new Set<string>();

  /** True when this stroke is the first of its key. */
  strike(code: string, repeat: boolean): boolean {
    // Media keys often come without the stroke's end.
    if (code === '' || code.startsWith('Media')) return !repeat;
    const first = !repeat && !this.down.has(code);
    this.down.add(code);
    return first;
  }

  lift(code: string): void {
    this.down.delete(code);
  }

  /** The page lost the keyboard: ends of strokes are not told to it. */
  forget(): void {
    this.down.clear();
  }
}
