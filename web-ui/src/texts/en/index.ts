// All texts in English. Their shape is that of every language.
import { calibration } from './calibration';
import * as car from './car';
import { check } from './check';
import { entered } from './entered';
import { handsFree } from './hands-free';
import * as page from './page';
import * as visit from './visit';

export const en = { code: 'en', ...page, ...car, ...visit, check, calibration, entered, handsFree };
