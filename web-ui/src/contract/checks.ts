// The requests about guided checks.
import { ask, type Answer } from './requests';
import type { CheckFigure, CheckStart, CheckView } from './types';

type Told = Promise<Answer<CheckView>>;

export const startCheck = (start: CheckStart): Told => ask('api/v1/check', start);
export const typeCheckFigure = (figure: CheckFigure): Told => ask('api/v1/check/figure', figure);
export const finishCheck = (): Told => ask('api/v1/check/finish', {});
export const cancelCheck = (): Told => ask('api/v1/check/cancel', {});
export const turnsOfSwing = (): Told => ask('api/v1/check/turns-of-swing', {});
