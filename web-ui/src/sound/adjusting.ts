// The adjusting tone: how it sounds for a way that is left to go, and its pulses one after the other. Pure.
import type { Way } from '../state/work';
import { RAMP_S, type Note } from './tones';

export type AdjustingKind =
  /** The value is above its aim. */
  | 'too_much'
  /** The value is below its aim. */
  | 'too_little'
  /** Within the limits with all of the ±: two notes by turns; the side can still be heard. */
  | 'enough'
  /** Nearer to the aim than the ± can tell: two notes held together. */
  | 'there'
  /** No value, or an old one. */
  | 'silent';

/** What the tone can say of a value of now. */
export const SOUNDING_KINDS = ['too_much', 'too_little', 'enough', 'there'] as const satisfies readonly AdjustingKind[];

export interface AdjustingTone {
  kind: AdjustingKind;
  /** Pulses in a second; 0 while nothing pulses. */
  pulse_hz: number;
  /** Pitch of a pulse; 0 while silent. */
  pitch_hz: number;
  /** The other of two notes; 0 where there is one alone. */
  second_hz: number;
}

/** The pitch of the aim, and by how much each side is off it: a fourth up or down. */
export const AIM_HZ = 660;
const APART = 4 / 3;
const SIDE_HZ = { too_much: AIM_HZ * APART, too_little: AIM_HZ / APART } as const;

/** Pulses at the edge of the ±, where the way is as long as the ± itself. */
const NEAR_PULSE_HZ = 8;
/** Slower than this nobody waits for the next pulse. */
const FAR_PULSE_HZ = 0.75;
/** How the pulse slows: half as fast at a little over three times the way. */
const SLOWING = 0.6;
/** Two notes by turns. */
const ENOUGH_PULSE_HZ = 4;
/** The held pair is made of pieces this long: whole periods of both notes, so that no joint is heard. */
const HELD_S = 0.5;
const HELD_SECOND_HZ = AIM_HZ * 1.5;

export const SILENT: AdjustingTone = { kind: 'silent', pulse_hz: 0, pitch_hz: 0, second_hz: 0 };

/** Pulses in a second for a way of so many times the ±. */
function pulseOf(times: number): number {
  return Math.min(NEAR_PULSE_HZ, Math.max(FAR_PULSE_HZ, NEAR_PULSE_HZ * times ** -SLOWING));
}

/** How a way sounds. `expanded` is the ± of the value, in the unit of the way; null is a value that is missing or old. */
export function adjustingTone(way: Way | null, expanded: number): AdjustingTone {
  if (way === null || !Number.isFinite(expanded) || expanded < 0) return SILENT;
  if (way.kind === 'there') return { kind: 'there', pulse_hz: 1 / HELD_S, pitch_hz: AIM_HZ, second_hz: HELD_SECOND_HZ };
  if (!Number.isFinite(way.size) || way.size < 0) return SILENT;
  const side = way.toward === 'minus' ? 'too_much' : 'too_little';
  if (way.kind === 'enough') return { kind: 'enough', pulse_hz: ENOUGH_PULSE_HZ, pitch_hz: SIDE_HZ[side], second_hz: AIM_HZ };
  return { kind: side, pulse_hz: pulseOf(way.size / expanded), pitch_hz: SIDE_HZ[side], second_hz: 0 };
}

/** A sample of each kind, to get to know it by: a way of three times the ±. */
export function sampleOf(kind: (typeof SOUNDING_KINDS)[number]): Note[] {
  const toward = kind === 'too_little' ? 'plus' : 'minus';
  const way: Way = kind === 'there' ? { kind } : { kind: kind === 'enough' ? kind : 'go', toward, size: 3 };
  return pulsesBetween(adjustingTone(way, 1), STANDING, 0, SAMPLE_S).notes;
}

/** Long enough to hear a pulse. */
const SAMPLE_S = 1.5;

/** Share of a pulse's time in which it sounds. Short above the aim, long below it: the side has a rhythm too. */
const SOUNDING = { too_much: 0.3, too_little: 0.65 } as const;
/** A far pulse is no long howl. */
const LONGEST_S = 0.45;
const LEVEL = 0.4;

/** Where the pulses have got to. */
export interface Train {
  /** When the last one started; -Infinity before the first. */
  last_s: number;
  /** How many there were. */
  count: number;
}

export const STANDING: Train = { last_s: -Infinity, count: 0 };

function pulseNotes(tone: AdjustingTone, start_s: number, count: number): Note[] {
  const { kind, pitch_hz, second_hz } = tone;
  const period_s = 1 / tone.pulse_hz;
  switch (kind) {
    case 'silent':
      return [];
    case 'there':
      // The pieces overlap by a ramp: the one fades in while the other fades out.
      return [pitch_hz, second_hz].map((hz) => ({ start_s, length_s: HELD_S + RAMP_S, pitch_hz: hz, level: LEVEL / 2 }));
    case 'enough':
      return [{ start_s, length_s: period_s * 0.92, pitch_hz: count % 2 === 0 ? pitch_hz : second_hz, level: LEVEL }];
    default:
      return [{ start_s, length_s: Math.min(LONGEST_S, period_s * SOUNDING[kind]), pitch_hz, level: LEVEL }];
  }
}

/**
 * The pulses that start from `from_s` on and before `until_s`, and where the train is then. A tone that
 * has become faster does not wait for the end of a slow pulse that began before.
 */
export function pulsesBetween(tone: AdjustingTone, train: Train, from_s: number, until_s: number): { notes: Note[]; train: Train } {
  // After a silence the first pulse sounds at once.
  if (!(tone.pulse_hz > 0)) return { notes: [], train: STANDING };
  const notes: Note[] = [];
  let { last_s, count } = train;
  for (;;) {
    const start_s = Math.max(from_s, last_s + 1 / tone.pulse_hz);
    if (!(start_s < until_s)) return { notes, train: { last_s, count } };
    notes.push(...pulseNotes(tone, start_s, count));
    last_s = start_s;
    count += 1;
  }
}
