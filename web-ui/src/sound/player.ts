// Turns notes into sound. It knows Web Audio and nothing else; the context is given to it, so that
// a test can have it played into memory.
import { pulsesBetween, STANDING, type AdjustingTone } from './adjusting';
import { envelopeOf, PARTIALS, type Note } from './tones';

/** Notes start this much after now: the browser needs a moment to make them ready. */
const LEAD_S = 0.03;
/** A change of loudness is drawn out over this time constant, or it clicks. */
const FADE_S = 0.02;
/** Share of the adjusting tone that is left while something is spoken. */
const HUSHED = 0.25;

export class Player {
  private readonly out: GainNode;
  private readonly humming: GainNode;
  private readonly wave: PeriodicWave;
  private train = STANDING;

  constructor(readonly context: BaseAudioContext, gain: number) {
    this.out = new GainNode(context, { gain });
    this.out.connect(context.destination);
    this.humming = new GainNode(context, { gain: 1 });
    this.humming.connect(this.out);
    this.wave = waveOf(context);
  }

  loudness(gain: number): void {
    this.out.gain.setTargetAtTime(gain, this.context.currentTime, FADE_S);
  }

  /** The adjusting tone steps back while something is spoken. */
  hush(on: boolean): void {
    this.humming.gain.setTargetAtTime(on ? HUSHED : 1, this.context.currentTime, FADE_S);
  }

  play(notes: readonly Note[]): void {
    const from_s = this.context.currentTime + LEAD_S;
    for (const note of notes) this.sound({ ...note, start_s: note.start_s + from_s }, this.out);
  }

  /** Has the adjusting tone sound until `ahead_s` from now. To be called again before that. */
  hum(tone: AdjustingTone, ahead_s: number): void {
    const from_s = this.context.currentTime + LEAD_S;
    const { notes, train } = pulsesBetween(tone, this.train, from_s, from_s + ahead_s);
    this.train = train;
    for (const note of notes) this.sound(note, this.humming);
  }

  private sound(note: Note, into: AudioNode): void {
    const corners = envelopeOf(note);
    const [start, , , end] = corners;
    const loudness = new GainNode(this.context, { gain: 0 });
    for (const { at_s, level } of corners) {
      if (at_s === start.at_s) loudness.gain.setValueAtTime(level, at_s);
      else loudness.gain.linearRampToValueAtTime(level, at_s);
    }
    const voice = new OscillatorNode(this.context, { frequency: note.pitch_hz, periodicWave: this.wave });
    voice.connect(loudness).connect(into);
    voice.start(start.at_s);
    voice.stop(end.at_s);
  }
}

/** One period with its partials, as sines: it begins at zero. */
function waveOf(context: BaseAudioContext): PeriodicWave {
  const most = Math.max(...PARTIALS.map(({ times }) => times));
  const imag = new Float32Array(most + 1);
  for (const { times, share } of PARTIALS) imag[times] = share;
  return new PeriodicWave(context, { real: new Float32Array(most + 1), imag, disableNormalization: true });
}
