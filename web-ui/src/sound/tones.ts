// The tones as data: notes with pitch, start and length, and nothing played yet. Pure.
// Each tone has a rhythm of its own as well as pitches of its own, so that it is known in noise
// and by an ear that misses some pitches.

/** One note of a tone; times count from the start of the tone. */
export interface Note {
  start_s: number;
  length_s: number;
  pitch_hz: number;
  /** Loudest amplitude, 0 to 1. */
  level: number;
}

/** What a tone says. The last three are short marks beside the work's own tones. */
export type ToneName = 'hold' | 'move' | 'done' | 'refused' | 'read' | 'key' | 'no_key' | 'lost';

/** Tones that tell the course of a procedure. */
export const COURSE_TONES = ['move', 'hold', 'read', 'done', 'refused'] as const satisfies readonly ToneName[];

/**
 * What a note is made of: its pitch, and the third harmonic of it. A small speaker gives little of
 * a low pitch and a hurt ear little of a high one; one of the two arrives all the same. The shares
 * add up to one, so a note is never louder than its level.
 */
export const PARTIALS = [
  { times: 1, share: 0.72 },
  { times: 3, share: 0.28 },
] as const;

/** Time from silence to full, and back again. Much shorter is heard as a click. */
export const RAMP_S = 0.015;

/** Leaves room for the adjusting tone to sound at once without clipping. */
const LEVEL = 0.6;
const MARK_LEVEL = 0.4;

type Beat = readonly [start_s: number, length_s: number, pitch_hz: number];

const BEATS: Record<ToneName, readonly Beat[]> = {
  // Stay: one long, low note.
  hold: [[0, 0.75, 392]],
  // Go: two short, high ones.
  move: [
    [0, 0.11, 932],
    [0.2, 0.11, 932],
  ],
  // Come here and read: a long one and a short one above it.
  read: [
    [0, 0.4, 587],
    [0.46, 0.13, 784],
  ],
  // Done: three that rise, the last one held.
  done: [
    [0, 0.13, 523],
    [0.17, 0.13, 698],
    [0.34, 0.5, 1047],
  ],
  // Refused: five fast ones, low, falling at the end.
  refused: [
    [0, 0.075, 330],
    [0.125, 0.075, 330],
    [0.25, 0.075, 330],
    [0.375, 0.075, 330],
    [0.5, 0.16, 262],
  ],
  // A key was heard; a key was heard and there is nothing for it to do.
  key: [[0, 0.05, 1319]],
  no_key: [[0, 0.09, 294]],
  // The value that the adjusting tone followed is gone.
  lost: [
    [0, 0.22, 440],
    [0.24, 0.34, 311],
  ],
};

const MARKS: readonly ToneName[] = ['key', 'no_key', 'lost'];

/** The notes of a tone. */
export function notesOf(tone: ToneName): Note[] {
  const level = MARKS.includes(tone) ? MARK_LEVEL : LEVEL;
  return BEATS[tone].map(([start_s, length_s, pitch_hz]) => ({ start_s, length_s, pitch_hz, level }));
}

/** How long a tone sounds, s. */
export function lengthOf(notes: readonly Note[]): number {
  return Math.max(0, ...notes.map(({ start_s, length_s }) => start_s + length_s));
}

/** A corner of a note's loudness over time; straight lines between them. */
export interface Corner {
  at_s: number;
  level: number;
}

/** Loudness of a note over time: from nothing up, and down to nothing again. */
export function envelopeOf({ start_s, length_s, level }: Note): [Corner, Corner, Corner, Corner] {
  const ramp_s = Math.min(RAMP_S, length_s / 2);
  return [
    { at_s: start_s, level: 0 },
    { at_s: start_s + ramp_s, level },
    { at_s: start_s + length_s - ramp_s, level },
    { at_s: start_s + length_s, level: 0 },
  ];
}

export const LOUDNESS = ['soft', 'middle', 'loud'] as const;
export type Loudness = (typeof LOUDNESS)[number];

/** Amplitude of each step; ten decibels apart, which is about twice as loud to the ear. */
export const GAIN: Record<Loudness, number> = { soft: 0.1, middle: 0.316, loud: 1 };
