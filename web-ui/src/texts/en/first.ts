// The words that the first figures need, in English: all of them before the rest is there.
import { mounts, head, boards, floor, toe, runOut, camber, swing, plates, findings, problem, picture, pair } from './page';

export const first = { code: 'en', mounts, head, boards, floor, toe, runOut, camber, swing, plates, findings, problem, picture, pair };
