// All texts in English. Their shape is that of every language.
import { calibration } from './calibration';
import { cars, importing, form, adjusters } from './car';
import { check } from './check';
import { entered } from './entered';
import { firstRun } from './first-run';
import { handsFree } from './hands-free';
import { mounts, head, boards, floor, toe, runOut, camber, swing, plates, findings, problem, picture, pair } from './page';
import { reach } from './reach';
import { traces, swingTrace, limitStrip, history } from './traces';
import { visit, prepare, table, meaning, work, closing } from './visit';

export const en = { code: 'en', mounts, head, boards, floor, toe, runOut, camber, swing, plates, findings, problem, picture, pair, cars, importing, form, adjusters, visit, prepare, table, meaning, work, closing, check, calibration, entered, handsFree, firstRun, reach, traces, swingTrace, limitStrip, history };
