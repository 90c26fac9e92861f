// The tones as a real browser makes them, measured: pitch, rhythm, loudness, and no clicks.
import { expect, test } from '@playwright/test';
import { amplitude_at, dominant_hz, hear, largest_jump, loudest, open_sound, stretches, type Heard } from '../hearing.ts';

/** Pitch and length of each note, written down here once more: a change of a tone is meant, or it is a fault. */
const TONES: Record<string, [hz: number, length_s: number][]> = {
  move: [[932, 0.11], [932, 0.11]],
  hold: [[392, 0.75]],
  read: [[587, 0.4], [784, 0.13]],
  done: [[523, 0.13], [698, 0.13], [1047, 0.5]],
  refused: [[330, 0.075], [330, 0.075], [330, 0.075], [330, 0.075], [262, 0.16]],
};

test.beforeEach(({ page }) => open_sound(page));

for (const [tone, notes] of Object.entries(TONES)) {
  test(`${tone} has its pitches and its rhythm`, async ({ page }) => {
    const heard = await hear(page, { tone }, 1.2);
    const found = stretches(heard);
    expect(found).toHaveLength(notes.length);
    for (const [nth, [hz, length_s]] of notes.entries()) {
      const { from_s, to_s } = found[nth]!;
      // The ramps at both ends are partly below what counts as sounding.
      expect(Math.abs(to_s - from_s - length_s)).toBeLessThan(0.02);
      // A short note has a broad peak.
      expect(Math.abs(dominant_hz(heard, from_s, to_s) - hz)).toBeLessThanOrEqual(Math.max(2, 0.1 / length_s));
      // The same note is there a second time, far off, for an ear or a speaker that misses the first.
      expect(amplitude_at(heard, 3 * hz, from_s, to_s) / amplitude_at(heard, hz, from_s, to_s)).toBeGreaterThan(0.25);
    }
  });

  test(`${tone} has no clicks, and leaves room for the adjusting tone`, async ({ page }) => {
    const heard = await hear(page, { tone }, 1.2, 1, 48_000);
    // Steepest of a wave at its loudest, with its third harmonic.
    const steepest = Math.max(...notes.map(([hz]) => (2 * Math.PI * hz * (0.72 + 3 * 0.28) * 0.6) / heard.rate_hz));
    expect(largest_jump(heard)).toBeLessThanOrEqual(steepest * 1.05);
    expect(loudest(heard)).toBeGreaterThan(0.3);
    expect(loudest(heard)).toBeLessThanOrEqual(0.6);
    expect(Math.abs(heard.samples.at(-1)!)).toBeLessThan(1e-4);
  });
}

test('a wave that is cut off would be found', () => {
  const rate_hz = 48_000;
  const samples = Array.from({ length: 4800 }, (_, nth) => (nth < 2430 ? 0.6 * Math.sin((2 * Math.PI * 392 * nth) / rate_hz) : 0));
  expect(largest_jump({ rate_hz, samples })).toBeGreaterThan(((2 * Math.PI * 392 * 1.56 * 0.6) / rate_hz) * 1.05);
});

test('softer is softer by ten decibels a step', async ({ page }) => {
  const levels: number[] = [];
  for (const gain of [0.1, 0.316, 1]) levels.push(20 * Math.log10(loudest(await hear(page, { tone: 'hold' }, 0.9, gain))));
  expect(levels[1]! - levels[0]!).toBeCloseTo(10, 0);
  expect(levels[2]! - levels[1]!).toBeCloseTo(10, 0);
});

const U = 0.1;
const go = (toward: string, times: number) => ({ way: { kind: 'go', toward, size: times * U }, expanded: U });

/** Mean distance of the starts, and the most that one is off it. */
function spacing(heard: Heard): { mean_s: number; off_s: number; count: number } {
  const starts = stretches(heard).map(({ from_s }) => from_s);
  const gaps = starts.slice(1).map((start_s, nth) => start_s - starts[nth]!);
  const mean_s = gaps.reduce((sum, gap_s) => sum + gap_s, 0) / gaps.length;
  return { mean_s, off_s: Math.max(...gaps.map((gap_s) => Math.abs(gap_s - mean_s))), count: gaps.length };
}

// Times the ±, and the pulses in a second that belong to it.
for (const [times, pulse_hz] of [[1.5, 6.272], [4, 3.482], [10, 2.01], [100, 0.75]] as const) {
  for (const [toward, hz] of [['minus', 880], ['plus', 495]] as const) {
    test(`${times} times the ± to go to ${toward}: ${pulse_hz} pulses a second at ${hz} Hz`, async ({ page }) => {
      const heard = await hear(page, go(toward, times), 5);
      const { mean_s, off_s, count } = spacing(heard);
      expect(count).toBeGreaterThanOrEqual(3);
      expect(1 / mean_s).toBeCloseTo(pulse_hz, 1);
      expect(off_s).toBeLessThan(0.005);
      const { from_s, to_s } = stretches(heard)[1]!;
      expect(Math.abs(dominant_hz(heard, from_s, to_s) - hz)).toBeLessThanOrEqual(3);
      expect(loudest(heard)).toBeLessThanOrEqual(0.4);
    });
  }
}

test('too much is heard short and too little long, for an ear without pitch', async ({ page }) => {
  const lengths: number[] = [];
  for (const toward of ['minus', 'plus']) {
    const { from_s, to_s } = stretches(await hear(page, go(toward, 4), 3))[1]!;
    lengths.push(to_s - from_s);
  }
  expect(lengths[1]! / lengths[0]!).toBeGreaterThan(1.8);
});

test('there is one unbroken sound of two notes, without clicks at its joints', async ({ page }) => {
  const heard = await hear(page, { way: { kind: 'there' }, expanded: U }, 4, 1, 48_000);
  const found = stretches(heard);
  expect(found).toHaveLength(1);
  expect(found[0]!.to_s - found[0]!.from_s).toBeGreaterThan(3.5);
  for (const hz of [660, 990]) expect(amplitude_at(heard, hz, 1, 3)).toBeGreaterThan(0.1);
  expect(amplitude_at(heard, 880, 1, 3)).toBeLessThan(0.01);
  expect(largest_jump(heard)).toBeLessThanOrEqual(((2 * Math.PI * (660 + 990) * 1.56 * 0.2) / heard.rate_hz) * 1.05);
});

test('within the limits two notes come by turns, the side still to be heard', async ({ page }) => {
  for (const [toward, hz] of [['minus', 880], ['plus', 495]] as const) {
    const heard = await hear(page, { way: { kind: 'enough', toward, size: 3 * U }, expanded: U }, 3);
    expect(1 / spacing(heard).mean_s).toBeCloseTo(4, 1);
    const pitches = stretches(heard)
      .slice(0, 4)
      .map(({ from_s, to_s }) => dominant_hz(heard, from_s, to_s));
    for (const [nth, pitch] of pitches.entries()) expect(Math.abs(pitch - (nth % 2 === 0 ? hz : 660))).toBeLessThanOrEqual(3);
  }
});

test('a value that is missing is silent', async ({ page }) => {
  expect(loudest(await hear(page, { way: null, expanded: U }, 2))).toBe(0);
});
