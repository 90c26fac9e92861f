// All texts in German.
import { en } from '../en';
import type { Texts } from '../shape';

export const de: Texts = en;
