// All texts in English. Their shape is that of every language.
import { calibration } from './calibration';
import * as car from './car';
import { check } from './check';
import { entered } from './entered';
import { first } from './first';
import { firstRun } from './first-run';
import { handsFree } from './hands-free';
import { reach } from './reach';
import * as traces from './traces';
import * as visit from './visit';

export const en = { ...first, ...car, ...visit, check, calibration, entered, handsFree, firstRun, reach, ...traces };
