// A command of the page: neither lost nor doubled.
//
// Every press has a key of its own (`Idempotency-Key`, an IETF draft of the working group
// httpapi). Where no answer comes, the same key is sent again: the daemon does a key once and
// gives the same answer to whoever asks under it again. `Hubplumb-Run` names the run of the
// daemon that the press was meant for, because its keys end with it.

/** What one try came to. */
export type Heard =
  /** The daemon answered. */
  | { kind: 'answered'; status: number; body: unknown }
  /** The request did not leave this tablet: it has no network at all. */
  | { kind: 'unsent' }
  /** No answer; the request may have arrived. */
  | { kind: 'lost' };

/** What a command came to: an answer, or what is known without one. */
export type Fate = { kind: 'answered'; status: number; body: unknown } | { kind: 'not_arrived' } | { kind: 'unknown' };

/** The outside world, given in so that a test can play it. */
export interface Line {
  send(key: string): Promise<Heard>;
  now_ms(): number;
  /** Ends early where there is reason to hope, e.g. when the network came back. */
  pause(ms: number): Promise<void>;
  /** Told with true when the command is sent again, and with false when that is over. */
  again(sending: boolean): void;
}

/** How long one try may wait for its answer: far longer than a garage's network takes. */
export const TRY_MS = 3000;
/** How long a command is sent again. Longer, and nobody would still stand by what they pressed. */
export const LIMIT_MS = 15_000;
/** Pauses between tries; the last one repeats. */
export const PAUSES_MS: readonly number[] = [300, 600, 1200, 2400];

/** Sends a command until it is answered or its time is over. */
export async function carry(line: Line, key: string): Promise<Fate> {
  const until_ms = line.now_ms() + LIMIT_MS;
  let mayHaveArrived = false;
  let isAgain = false;
  try {
    for (let nth = 0; ; nth += 1) {
      const heard = await line.send(key);
      if (heard.kind === 'answered') return heard;
      if (heard.kind === 'lost') mayHaveArrived = true;
      const pause_ms = PAUSES_MS[Math.min(nth, PAUSES_MS.length - 1)] as number;
      if (!isAgain) line.again(true);
      isAgain = true;
      if (line.now_ms() + pause_ms < until_ms) {
        await line.pause(pause_ms);
        // Looked at anew: a tablet that slept through the pause must not send an old press.
        if (line.now_ms() < until_ms) continue;
      }
      return { kind: mayHaveArrived ? 'unknown' : 'not_arrived' };
    }
  } finally {
    if (isAgain) line.again(false);
  }
}

/** The header's value: a string of a structured field (RFC 9651). */
export const keyHeader = (key: string): string => `"${key}"`;
