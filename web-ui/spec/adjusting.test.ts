import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { adjustingTone, AIM_HZ, pulsesBetween, SILENT, STANDING, type AdjustingTone } from '../src/sound/adjusting';
import { agedCamber, wayToGo } from '../src/state/work';
import { dominantHz, RATE_HZ, sampled, soundingIn } from './sampled';

/** The tone for a value that is `off` its aim, with no limits in the car's data. */
const at = (off: number, expanded: number): AdjustingTone => adjustingTone(wayToGo(off, expanded, 0), expanded);

const size = fc.double({ min: 0, max: 50, noNaN: true });
const expanded = fc.double({ min: 1e-4, max: 5, noNaN: true });
/** A way in terms of the ±, longer than it. */
const beyond = fc.double({ min: 1.001, max: 200, noNaN: true });
const anything = fc.double();

describe('the adjusting tone', () => {
  it('pulses no slower when the way gets shorter', () => {
    fc.assert(
      fc.property(beyond, beyond, expanded, (one, other, u) => {
        const [near, far] = [at(Math.min(one, other) * u, u), at(Math.max(one, other) * u, u)];
        expect([near.kind, far.kind]).toEqual(['too_much', 'too_much']);
        expect(near.pulse_hz).toBeGreaterThanOrEqual(far.pulse_hz);
      }),
    );
  });

  it('pulses faster with every halving of the way, until it is too far for that', () => {
    const rates = [32, 16, 8, 4, 2, 1.01].map((times) => at(times * 0.1, 0.1).pulse_hz);
    for (const [nth, rate] of rates.entries()) if (nth > 0) expect(rate / rates[nth - 1]!).toBeGreaterThan(1.3);
  });

  it('says the same of both sides, mirrored about the pitch of the aim', () => {
    fc.assert(
      fc.property(size, expanded, (off, u) => {
        const [much, little] = [at(off, u), at(-off, u)];
        expect(much.pulse_hz).toBe(little.pulse_hz);
        if (much.kind === 'there') expect(little).toEqual(much);
        else {
          expect([much.kind, little.kind]).toEqual(['too_much', 'too_little']);
          expect(much.pitch_hz).toBeGreaterThan(AIM_HZ);
          expect(Math.sqrt(much.pitch_hz * little.pitch_hz)).toBeCloseTo(AIM_HZ, 6);
        }
      }),
    );
  });

  it('is there exactly when the way is not longer than the ±, whatever the unit', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 100, noNaN: true }), expanded, fc.constantFrom(1, 60, 0.001), (times, u, unit) => {
        fc.pre(Math.abs(times - 1) > 1e-9);
        expect(at(times * u * unit, u * unit).kind === 'there').toBe(times < 1);
      }),
    );
  });

  it('goes by the way in terms of the ±, not by degrees', () => {
    fc.assert(
      fc.property(fc.double({ min: 1.01, max: 30, noNaN: true }), expanded, expanded, (times, one, other) => {
        expect(at(times * one, one).pulse_hz).toBeCloseTo(at(times * other, other).pulse_hz, 6);
      }),
    );
  });

  it('is never NaN and never endless, whatever comes', () => {
    fc.assert(
      fc.property(anything, anything, anything, fc.option(anything), fc.option(anything), (value, u, aim, low, high) => {
        const { kind, pulse_hz, pitch_hz, second_hz } = adjustingTone(wayToGo(value, u, aim, { low, high, target: null } as never), u);
        for (const hz of [pulse_hz, pitch_hz, second_hz]) expect(Number.isFinite(hz)).toBe(true);
        expect(pulse_hz).toBeLessThanOrEqual(8);
        expect(pulse_hz === 0).toBe(kind === 'silent');
        expect(pitch_hz === 0).toBe(kind === 'silent');
      }),
    );
  });

  it('is silent when the value is missing, old, or has no ±', () => {
    expect(adjustingTone(null, 0.1)).toEqual(SILENT);
    expect(adjustingTone({ kind: 'there' }, NaN)).toEqual(SILENT);
    expect(adjustingTone({ kind: 'go', toward: 'plus', size: NaN }, 0.1)).toEqual(SILENT);
    expect(pulsesBetween(SILENT, STANDING, 0, 10).notes).toEqual([]);
    const known = { status: 'known', value_deg: 1, expanded_deg: 0.1, sense: 'top out', at_us: 0 } as const;
    expect(agedCamber({ camber: known }, 1_000_000, false)?.live).toBe(true);
    expect(agedCamber({ camber: known }, 2_000_000, false)?.live).toBe(false);
    expect(agedCamber({ camber: known }, 1_000_000, true)?.live).toBe(false);
  });

  it('has two notes by turns within the limits, and still tells the side', () => {
    const limits = { low: -0.5, high: 0.5 };
    const [above, below] = [0.3, -0.3].map((off) => adjustingTone(wayToGo(off, 0.1, 0, limits), 0.1));
    expect([above?.kind, below?.kind]).toEqual(['enough', 'enough']);
    expect([above?.second_hz, below?.second_hz]).toEqual([AIM_HZ, AIM_HZ]);
    expect(above!.pitch_hz).toBeGreaterThan(below!.pitch_hz);
    expect(adjustingTone(wayToGo(0.45, 0.1, 0, limits), 0.1).kind).toBe('too_much');
  });
});

/** The pulses as they come when the train is asked every so often. */
function inSteps(tone: (at_s: number) => AdjustingTone, until_s: number, step_s: number, ahead_s: number) {
  let train = STANDING;
  const notes = [];
  for (let at_s = 0; at_s < until_s; at_s += step_s) {
    const more = pulsesBetween(tone(at_s), train, at_s, at_s + ahead_s);
    notes.push(...more.notes);
    train = more.train;
  }
  return notes;
}

const samplesOf = (tone: AdjustingTone) => sampled(inSteps(() => tone, 4, 0.06, 0.18), 4);

describe('its pulses', () => {
  it.each([1.2, 2, 5, 12, 60])('at %d times the ± are as far apart as the tone says, and at its pitch', (times) => {
    for (const side of [1, -1]) {
      const tone = at(side * times * 0.1, 0.1);
      const samples = samplesOf(tone);
      const stretches = soundingIn(samples, RATE_HZ);
      const starts = stretches.map(({ from_s }) => from_s);
      const gaps = starts.slice(1).map((start_s, nth) => start_s - starts[nth]!);
      expect(gaps.length).toBeGreaterThan(1);
      for (const gap_s of gaps) expect(gap_s).toBeCloseTo(1 / tone.pulse_hz, 2);
      const { from_s, to_s } = stretches[1]!;
      const pulse = samples.slice(from_s * RATE_HZ, to_s * RATE_HZ);
      expect(Math.abs(dominantHz(pulse, RATE_HZ) / tone.pitch_hz - 1)).toBeLessThan(0.01);
    }
  });

  it('above the aim are short and below it long', () => {
    const length = (off: number) => {
      const { from_s, to_s } = soundingIn(samplesOf(at(off, 0.1)), RATE_HZ)[1]!;
      return to_s - from_s;
    };
    expect(length(-0.3) / length(0.3)).toBeGreaterThan(1.8);
  });

  it('are held without a gap when it is there, both notes at once', () => {
    const samples = samplesOf(at(0.05, 0.1));
    expect(soundingIn(samples, RATE_HZ)).toHaveLength(1);
    // No joint is heard: between pieces it is as loud as within them, near enough.
    const loudness = Array.from({ length: 60 }, (_, nth) => Math.max(...samples.slice((0.2 + nth * 0.05) * RATE_HZ, (0.25 + nth * 0.05) * RATE_HZ).map(Math.abs)));
    expect(Math.max(...loudness) / Math.min(...loudness)).toBeLessThan(1.2);
  });

  it('never come closer than the tone says, and a faster tone does not wait for a slow pulse', () => {
    const [slow, fast] = [at(6, 0.1), at(0.15, 0.1)];
    const notes = inSteps((at_s) => (at_s < 0.3 ? slow : fast), 2, 0.06, 0.18);
    expect(notes[0]!.start_s).toBe(0);
    expect(notes[1]!.start_s).toBeLessThan(0.5);
    for (const [nth, note] of notes.entries()) if (nth > 1) expect(note.start_s - notes[nth - 1]!.start_s).toBeGreaterThan(1 / fast.pulse_hz - 1e-9);
  });

  it('are not lost or doubled, however often they are asked for', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.02, max: 0.15, noNaN: true }), fc.double({ min: 1.1, max: 40, noNaN: true }), (step_s, times) => {
        const tone = at(times * 0.1, 0.1);
        const notes = inSteps(() => tone, 5, step_s, 0.18).filter(({ start_s }) => start_s < 4.9);
        expect(Math.abs(notes.length - 4.9 * tone.pulse_hz)).toBeLessThanOrEqual(1.01);
      }),
    );
  });
});
