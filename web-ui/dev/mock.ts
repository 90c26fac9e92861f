// A stand-in for the daemon while the page is being drawn: still scenes
// (`POST /dev/scene/<name>`) and a canned swing that plays when one is started.
import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Plugin } from 'vite';
import type { PlateReading, StateView, SteerSource, SwingView } from '../src/contract/types';
import { platesMissing } from '../src/state/plates';
import { tellTraces } from './mock-traces';
import { CannedVisits } from './mock-visits';
import { DEVICES, REACH } from './reach-scene';
import { camberAt, curves, findings, idle, rest, SCENES, wheel } from './scenes';

const FRONTS = ['front_left', 'front_right'] as const;

type Step = { s: number; phase: SwingView['phase']; say: string; from_deg: number; to_deg: number; rests: number };
const STOPS_DEG = [0, 20.2, -19.7, 0];
const STEPS: readonly Step[] = [
  { s: 1, phase: 'await_straight', say: 'Set the wheels straight ahead and let go.', from_deg: 0.4, to_deg: 0, rests: 0 },
  { s: 4, phase: 'hold_straight', say: 'Keep still: straight ahead is being taken.', from_deg: 0, to_deg: 0, rests: 0 },
  { s: 1, phase: 'await_turn', say: 'Steer left to about 20° and stop there.', from_deg: 0, to_deg: 0, rests: 1 },
  { s: 3, phase: 'turning', say: 'Steer left to about 20° and stop there.', from_deg: 0, to_deg: 20.2, rests: 1 },
  { s: 4, phase: 'hold_stop', say: 'Keep still: this stop is being taken.', from_deg: 20.2, to_deg: 20.2, rests: 1 },
  { s: 4, phase: 'stop_taken', say: 'Taken. Steer right, past straight ahead, to about 20°.', from_deg: 20.2, to_deg: 20.2, rests: 2 },
  { s: 5, phase: 'turning', say: 'Steer right, past straight ahead, to about 20°.', from_deg: 20.2, to_deg: -19.7, rests: 2 },
  { s: 4, phase: 'hold_stop', say: 'Keep still: this stop is being taken.', from_deg: -19.7, to_deg: -19.7, rests: 2 },
  { s: 3, phase: 'stop_taken', say: 'Taken. Steer back to straight ahead.', from_deg: -19.7, to_deg: 0, rests: 3 },
  { s: 4, phase: 'hold_return', say: 'Keep still: straight ahead is being taken again.', from_deg: 0, to_deg: 0, rests: 3 },
];

class Canned {
  state: StateView = SCENES['idle']?.() as StateView;
  readonly visits = new CannedVisits();
  private listeners = new Set<ServerResponse>();
  private started_s: number | null = null;
  private jitter = 1;

  constructor() {
    setInterval(() => this.beat(), 100).unref();
  }

  show(name: string): boolean {
    const scene = this.visits.show(name) ? SCENES['idle'] : SCENES[name];
    if (!scene) return false;
    this.started_s = null;
    this.state = { ...scene(), serial: this.state.serial, visit: this.visits.at_hand() };
    for (const listener of this.listeners) this.snapshot(listener);
    return true;
  }

  listen(response: ServerResponse): void {
    response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    this.snapshot(response);
    this.listeners.add(response);
    response.on('close', () => this.listeners.delete(response));
  }

  /** Ends all streams, as a daemon that stops does. */
  hangUp(): object {
    for (const listener of this.listeners) listener.end();
    return {};
  }

  start(steer_source: SteerSource): SwingView {
    this.started_s = performance.now() / 1000;
    this.state.swing = { ...idle, run: this.state.swing.run + 1, phase: 'await_straight', steer_source, steer_deg: 0 };
    return this.state.swing;
  }

  cancel(): SwingView {
    this.started_s = null;
    this.state.swing = { ...idle, run: this.state.swing.run };
    this.change({ swing: this.state.swing });
    return this.state.swing;
  }

  plate({ rest: index, mount, plate_deg }: PlateReading): SwingView {
    const { swing } = this.state;
    swing.rests = swing.rests.map((r) =>
      r.index === index ? { ...r, wheels: r.wheels.map((w) => (w.mount === mount ? { ...w, plate_deg } : w)) } : r,
    );
    if (swing.phase === 'await_plates' && platesMissing(swing.rests) === 0) this.finish();
    else this.change({ swing });
    return swing;
  }

  private finish(): void {
    this.started_s = null;
    const { swing } = this.state;
    Object.assign(swing, { phase: 'done', say: 'Done. The findings are below.' });
    this.state.findings = [...this.state.findings, ...findings(swing.run)];
    this.state.curves = [...this.state.curves, ...curves(swing.run, swing.rests)];
    this.change({ swing, findings: this.state.findings, curves: this.state.curves });
  }

  private snapshot(to: ServerResponse): void {
    to.write(`event: snapshot\ndata: ${JSON.stringify(this.state)}\n\n`);
  }

  private change(sections: Partial<StateView>): void {
    this.state = { ...this.state, ...sections, serial: this.state.serial + 1, now_us: Math.round(performance.now() * 1000) };
    const { serial, now_us } = this.state;
    for (const listener of this.listeners) {
      listener.write(`event: change\ndata: ${JSON.stringify({ serial, now_us, ...sections })}\n\n`);
    }
  }

  private beat(): void {
    this.jitter = (this.jitter * 48271) % 2147483647;
    const noise_deg = (this.jitter / 2147483647 - 0.5) * 0.02;
    const at_us = Math.round(performance.now() * 1000);
    const steer_deg = this.play();
    this.change({
      wheels: this.state.wheels.map((w) =>
        w.camber.status === 'known' && (w.mount === 'front_left' || w.mount === 'front_right')
          ? wheel(w.mount, camberAt(w.mount, steer_deg) + noise_deg, at_us, w.motion === 'moving')
          : w,
      ),
      swing: this.state.swing,
      visit: this.visits.at_hand(),
    });
  }

  private play(): number {
    if (this.started_s === null) return 0;
    let into_s = performance.now() / 1000 - this.started_s;
    for (const step of STEPS) {
      if (into_s < step.s) {
        const steer_deg = step.from_deg + ((step.to_deg - step.from_deg) * into_s) / step.s;
        const { run, steer_source } = this.state.swing;
        const rests = STOPS_DEG.slice(0, step.rests).map((stop_deg, nth) => this.state.swing.rests[nth] ?? rest(nth, stop_deg));
        this.state.swing = { ...idle, run, steer_source, phase: step.phase, say: step.say, held_s: step.phase.startsWith('hold') ? into_s : 0, steer_deg, wheels: FRONTS.map((mount) => ({ mount, steer_deg, camber_deg: camberAt(mount, steer_deg) })), rests };
        return steer_deg;
      }
      into_s -= step.s;
    }
    const plates = this.state.swing.steer_source === 'plates';
    this.state.swing.rests = STOPS_DEG.map((stop_deg, nth) => this.state.swing.rests[nth] ?? rest(nth, stop_deg));
    if (!plates || platesMissing(this.state.swing.rests) === 0) this.finish();
    else {
      this.started_s = null;
      this.state.swing = { ...this.state.swing, phase: 'await_plates', say: 'Type in what the turn plates showed at each stop.' };
    }
    return 0;
  }
}

async function bodyOf(request: IncomingMessage): Promise<unknown> {
  const chunks: Buffer[] = [];
  for await (const chunk of request) chunks.push(chunk as Buffer);
  return JSON.parse(Buffer.concat(chunks).toString() || '{}');
}

function json(response: ServerResponse, status: number, body: unknown): void {
  const kind = status < 400 ? 'application/json' : 'application/problem+json';
  response.writeHead(status, { 'content-type': kind }).end(JSON.stringify(body));
}

type Next = () => void;

/** Answers as the daemon would, or hands on to whoever serves the page. */
async function answer(canned: Canned, request: IncomingMessage, response: ServerResponse, next: Next): Promise<void> {
  // The stream names its language; this stand-in speaks English only.
  const path = (request.url ?? '').split('?')[0] ?? '';
  if (path === '/api/v1/stream') canned.listen(response);
  else if (path === '/api/v1/traces') tellTraces(response);
  else if (path === '/api/v1/reach') json(response, 200, REACH);
  else if (path === '/api/v1/pairing/devices') json(response, 200, DEVICES);
  else if (path === '/api/v1/state') json(response, 200, canned.state);
  else if (path === '/api/v1/health') json(response, 200, { status: 'ok' });
  else if (path === '/api/v1/swing') {
    const { steer_source } = (await bodyOf(request)) as { steer_source?: SteerSource };
    json(response, 202, canned.start(steer_source ?? 'gyro'));
  } else if (path === '/api/v1/swing/cancel') json(response, 200, canned.cancel());
  else if (path === '/api/v1/swing/plate') json(response, 200, canned.plate((await bodyOf(request)) as PlateReading));
  else if (path.startsWith('/dev/scene/')) json(response, canned.show(path.slice('/dev/scene/'.length)) ? 200 : 404, {});
  else if (path === '/dev/hang-up') json(response, 200, canned.hangUp());
  else {
    const body = path.startsWith('/api/v1/') && request.method !== 'GET' ? await bodyOf(request) : {};
    const told = canned.visits.answer(request.method ?? 'GET', path, body);
    if (told) json(response, told.status, told.body);
    else next();
  }
}

/** While the page is drawn (`npm run dev`) and behind the built page (`npm run gallery`). */
export function mock(): Plugin {
  const canned = new Canned();
  const answering = (request: IncomingMessage, response: ServerResponse, next: Next) => void answer(canned, request, response, next);
  return {
    name: 'canned-daemon',
    configureServer: (server) => void server.middlewares.use(answering),
    configurePreviewServer: (server) => void server.middlewares.use(answering),
  };
}
