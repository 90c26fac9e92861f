// Notes turned into samples, and samples measured: written apart from the player, so that both can be compared.
import { envelopeOf, PARTIALS, type Note } from '../src/sound/tones';

export const RATE_HZ = 8000;

function levelAt(note: Note, at_s: number): number {
  const corners = envelopeOf(note);
  for (const [nth, to] of corners.entries()) {
    const from = corners[nth - 1];
    if (from && at_s >= from.at_s && at_s < to.at_s) return from.level + ((to.level - from.level) * (at_s - from.at_s)) / (to.at_s - from.at_s);
  }
  return 0;
}

/** The notes as they are to sound, from 0 to `length_s`. */
export function sampled(notes: readonly Note[], length_s: number): Float64Array {
  const samples = new Float64Array(Math.ceil(length_s * RATE_HZ));
  for (const note of notes) {
    const [first, last] = [Math.floor(note.start_s * RATE_HZ), Math.ceil((note.start_s + note.length_s) * RATE_HZ)];
    for (let nth = Math.max(0, first); nth < Math.min(samples.length, last); nth += 1) {
      const at_s = nth / RATE_HZ;
      const turn = 2 * Math.PI * note.pitch_hz * (at_s - note.start_s);
      samples[nth]! += levelAt(note, at_s) * PARTIALS.reduce((sum, { times, share }) => sum + share * Math.sin(times * turn), 0);
    }
  }
  return samples;
}

/** Amplitude of one frequency in the samples (Goertzel's recurrence). */
export function amplitudeAt(samples: ArrayLike<number>, hz: number, rate_hz: number): number {
  const turn = (2 * Math.PI * hz) / rate_hz;
  const twice = 2 * Math.cos(turn);
  let [one, two] = [0, 0];
  for (let nth = 0; nth < samples.length; nth += 1) [one, two] = [samples[nth]! + twice * one - two, one];
  return (2 * Math.hypot(one - two * Math.cos(turn), two * Math.sin(turn))) / samples.length;
}

/** The frequency with the most in it, to about 1 Hz. */
export function dominantHz(samples: ArrayLike<number>, rate_hz: number): number {
  let best = { hz: 0, amplitude: 0 };
  for (let hz = 150; hz <= 3900; hz += 1) {
    const amplitude = amplitudeAt(samples, hz, rate_hz);
    if (amplitude > best.amplitude) best = { hz, amplitude };
  }
  return best.hz;
}

/** Stretches in which something sounds, s. Gaps shorter than 12 ms do not part them. */
export function soundingIn(samples: ArrayLike<number>, rate_hz: number, least = 0.02): { from_s: number; to_s: number }[] {
  const stretches: { from_s: number; to_s: number }[] = [];
  for (let nth = 0; nth < samples.length; nth += 1) {
    if (Math.abs(samples[nth]!) < least) continue;
    const at_s = nth / rate_hz;
    const last = stretches.at(-1);
    if (last && at_s - last.to_s < 0.012) last.to_s = at_s;
    else stretches.push({ from_s: at_s, to_s: at_s });
  }
  return stretches;
}
