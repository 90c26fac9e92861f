// Ways in as a daemon on a garage's network tells them. The code is an invented one that no
// camera reads: only its size is like a real one's.
import type { KnownDeviceView, ReachView, StateView } from '../src/contract/types';

const SIDE = 25;
const code = Array.from({ length: SIDE }, (_, y) => Array.from({ length: SIDE }, (_, x) => ((x * 7 + y * 11 + x * y) % 3 === 0 ? '1' : '0')).join(''));

export const REACH: ReachView = {
  scope: 'network',
  https: true,
  addresses: ['https://192.168.4.20:8710/', 'https://10.0.0.7:8710/'].map((url) => ({ url, code })),
  name: { state: 'announced', url: 'https://hubplumb.local:8710/' },
  certificate: {
    name: 'hubplumb 1a2b3c4d',
    fingerprint_sha256: Array.from({ length: 32 }, (_, nth) => (nth * 7).toString(16).toUpperCase().padStart(2, '0')).join(':'),
    page_fingerprint_sha256: Array.from({ length: 32 }, (_, nth) => (nth * 5).toString(16).toUpperCase().padStart(2, '0')).join(':'),
    path: '/certificate.crt',
  },
};

export const DEVICES: KnownDeviceView[] = [
  { id: 1, name: 'workshop tablet', paired_on: '2026-05-02', own: true },
  { id: 4, name: 'device 4', paired_on: '2026-05-09', own: false },
];

/** A broker that is away, as the state tells it. */
export const BROKER_AWAY: StateView['publishing'] = {
  state: 'down',
  broker: 'mqtt.lan:1883',
  waiting: 3,
  given_up: 0,
  trouble: { code: 'broker_refused', what: 'Nothing listens at mqtt.lan:1883.', meaning: 'Nothing is published; findings wait until the broker is back.', remedy: 'Start the broker, or put its address into the configuration.' },
};
