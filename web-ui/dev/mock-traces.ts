// Invented traces for the page: four wheels and a body at 100 Hz, with a gap now and then.
import type { ServerResponse } from 'node:http';
import type { MountView, TraceBatchView } from '../src/contract/types';
import { TRUTH } from './scenes';

const EVERY_MS = 50;
const STEP_US = 10_000;

const AT: readonly { mount: MountView; lean_deg: number; pitch_deg: number }[] = [
  { mount: 'front_left', lean_deg: TRUTH.front_left.camber_deg, pitch_deg: 0.4 },
  { mount: 'front_right', lean_deg: TRUTH.front_right.camber_deg, pitch_deg: -1.2 },
  { mount: 'rear_left', lean_deg: -1.1, pitch_deg: 2.3 },
  { mount: 'rear_right', lean_deg: -0.9, pitch_deg: 0 },
  { mount: 'body', lean_deg: 0, pitch_deg: 0 },
];

/** The same noise every time, so that a picture can be compared with one of before. */
const noise = (n: number): number => {
  const x = Math.sin(n * 12.9898) * 43758.5453;
  return x - Math.floor(x) - 0.5;
};

export function tellTraces(response: ServerResponse): void {
  response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
  let told_us = Math.round(performance.now() * 1000);
  const timer = setInterval(() => {
    const now_us = Math.round(performance.now() * 1000);
    const batch: TraceBatchView = { now_us, boards: [] };
    const times = Array.from({ length: Math.floor((now_us - told_us) / STEP_US) }, (_, nth) => told_us + (nth + 1) * STEP_US);
    for (const { mount, lean_deg, pitch_deg } of AT) {
      const away = (at_us: number): boolean => mount === 'rear_right' && at_us % 17_000_000 < 5_000_000;
      const turning = (at_us: number): boolean => mount.startsWith('front') && at_us % 13_000_000 < 3_000_000;
      const lean = times.map((at_us, n) => (away(at_us) ? null : lean_deg + 0.02 * noise(at_us / STEP_US + n) + (turning(at_us) ? 0.6 * Math.sin(((at_us % 13_000_000) / 3_000_000) * 2 * Math.PI) : 0)));
      const last = times.at(-1) ?? 0;
      batch.boards.push({
        id: `usb-${mount}`,
        mount,
        at_us: times,
        lean_deg: lean,
        pitch_deg: lean.map((value, n) => (value === null ? null : pitch_deg + 0.015 * noise(n + told_us))),
        gaps: lean.filter((value) => value === null).map(() => 'absent'),
        lean_expanded_deg: turning(last) ? 0.21 : 0.06,
        pitch_expanded_deg: turning(last) ? 0.24 : 0.08,
        lost: 0,
      });
    }
    told_us = times.at(-1) ?? told_us;
    response.write(`event: traces\ndata: ${JSON.stringify(batch)}\n\n`);
  }, EVERY_MS);
  response.on('close', () => clearInterval(timer));
}
