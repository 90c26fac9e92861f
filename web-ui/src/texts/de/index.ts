// All texts in German.
import { en } from '../en';
import type { Texts } from '../shape';
import { handsFree } from './hands-free';

export const de: Texts = { ...en, handsFree };
