import { describe, expect, it } from 'vitest';
import { COURSE_TONES, envelopeOf, GAIN, lengthOf, LOUDNESS, notesOf, PARTIALS, RAMP_S, type ToneName } from '../src/sound/tones';
import { dominantHz, RATE_HZ, sampled, soundingIn } from './sampled';

const ALL: readonly ToneName[] = [...COURSE_TONES, 'key', 'no_key', 'lost'];

/** Starts and lengths alone, as an ear hears them that is deaf to pitch. */
const rhythm = (tone: ToneName): [number, number][] => notesOf(tone).map(({ start_s, length_s }) => [start_s, length_s]);

/** Two rhythms are told apart by how many notes there are, or by a note at least twice as long. */
function soundsDifferent(one: ToneName, other: ToneName): boolean {
  const [a, b] = [rhythm(one), rhythm(other)];
  return a.length !== b.length || a.some(([, length_s], nth) => Math.max(length_s, b[nth]![1]) >= 2 * Math.min(length_s, b[nth]![1]));
}

const pairs = COURSE_TONES.flatMap((one, nth) => COURSE_TONES.slice(nth + 1).map((other) => [one, other] as const));

describe('the tones', () => {
  it.each(pairs)('%s and %s differ in rhythm and in pitch', (one, other) => {
    expect(soundsDifferent(one, other)).toBe(true);
    const first = (tone: ToneName): number => notesOf(tone)[0]!.pitch_hz;
    // Two semitones are heard as another pitch by nearly everybody.
    expect(Math.abs(12 * Math.log2(first(one) / first(other)))).toBeGreaterThan(1.9);
  });

  it('would be told apart only if they were: the comparison fails on one and the same', () => {
    for (const tone of COURSE_TONES) expect(soundsDifferent(tone, tone)).toBe(false);
  });

  it.each(ALL)('%s: notes do not overlap, start at once and are over soon', (tone) => {
    const notes = notesOf(tone);
    expect(notes[0]?.start_s).toBe(0);
    expect(lengthOf(notes)).toBeLessThan(0.9);
    for (const [nth, note] of notes.entries()) {
      const before = notes[nth - 1];
      if (before) expect(note.start_s).toBeGreaterThan(before.start_s + before.length_s);
    }
  });

  it.each(ALL)('%s has each note at its own pitch and with a second one far off it', (tone) => {
    const notes = notesOf(tone);
    const samples = sampled(notes, lengthOf(notes) + 0.05);
    for (const { start_s, length_s, pitch_hz } of notes) {
      const piece = samples.slice(Math.round(start_s * RATE_HZ), Math.round((start_s + length_s) * RATE_HZ));
      // A short note has a broad peak: its width is about one over its length.
      expect(Math.abs(dominantHz(piece, RATE_HZ) - pitch_hz)).toBeLessThan(Math.max(2, 0.1 / length_s));
    }
    expect(PARTIALS.some(({ times, share }) => times >= 2 && share >= 0.2)).toBe(true);
  });

  it.each(ALL)('%s rises from nothing and falls to nothing, over at least a hundredth of a second', (tone) => {
    for (const note of notesOf(tone)) {
      const [start, up, down, end] = envelopeOf(note);
      expect([start.level, end.level]).toEqual([0, 0]);
      expect(up.at_s - start.at_s).toBeCloseTo(RAMP_S, 9);
      expect(end.at_s - down.at_s).toBeCloseTo(RAMP_S, 9);
      expect(down.at_s).toBeGreaterThan(up.at_s);
      expect(RAMP_S).toBeGreaterThanOrEqual(0.01);
    }
  });

  it.each(ALL)('%s leaves room for the adjusting tone, at the loudest too', (tone) => {
    const notes = notesOf(tone);
    const loudest = Math.max(...sampled(notes, lengthOf(notes)).map(Math.abs));
    expect(loudest * GAIN.loud).toBeLessThanOrEqual(0.6);
    expect(loudest).toBeGreaterThan(0.2);
  });

  it('sound as often as they have notes', () => {
    for (const tone of COURSE_TONES) {
      const notes = notesOf(tone);
      expect(soundingIn(sampled(notes, lengthOf(notes) + 0.1), RATE_HZ)).toHaveLength(notes.length);
    }
  });

  it('have three loudnesses, each about ten decibels above the one before', () => {
    const [soft, middle, loud] = LOUDNESS.map((step) => 20 * Math.log10(GAIN[step]));
    expect(loud).toBe(0);
    expect(middle! - soft!).toBeCloseTo(10, 1);
    expect(loud! - middle!).toBeCloseTo(10, 1);
  });
});
