// All texts in German. The compiler holds them to the shape of English: nothing may be left out.
import type { Texts } from '../shape';
import { calibration } from './calibration';
import * as car from './car';
import { check } from './check';
import { entered } from './entered';
import { handsFree } from './hands-free';
import * as page from './page';
import * as visit from './visit';

export const de: Texts = { code: 'de', ...page, ...car, ...visit, check, calibration, entered, handsFree };
