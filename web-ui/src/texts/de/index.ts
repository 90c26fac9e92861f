// All texts in German.
import { en } from '../en';
import type { Texts } from '../shape';
import * as traces from './traces';

export const de: Texts = { ...en, ...traces };
