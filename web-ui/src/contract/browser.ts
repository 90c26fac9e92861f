// The real world for the follower.
import { spokenCode } from '../texts';
import { answers, fetchState } from './requests';
import type { World } from './stream';

export const browserWorld: World = {
  open: () => new EventSource(`api/v1/stream?language=${spokenCode()}`),
  fetchState,
  answers,
  now_ms: () => performance.now(),
};
