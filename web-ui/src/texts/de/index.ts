// All texts in German.
import { en } from '../en';
import type { Texts } from '../shape';
import { firstRun } from './first-run';

export const de: Texts = { ...en, firstRun };
