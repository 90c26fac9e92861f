// Ways in as a daemon on a garage's network tells them. The code is an invented one that no
// camera reads: only its size is like a real one's.
import type { ReachView } from '../src/contract/types';

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
