// Every screen of the page, and how a person comes to it.
import type { Page } from '@playwright/test';
import { open_line, type Line } from '../worksheet.ts';
import type { Gallery } from './gallery.ts';

export interface Screen {
  name: string;
  scene: string;
  /** From the scene to the screen. */
  go?: (page: Page, gallery: Gallery) => Promise<void>;
  /** Selector of the one figure or word that matters now; every stage has one. */
  matters?: string;
  /** It fills the screen: its figure is seen without scrolling. */
  stage?: boolean;
  /** What else is read from three metres. */
  reads?: readonly string[];
}

const line = (name: string, scene: string, at: Line, more: Partial<Screen> = {}): Screen => ({ name, scene, go: (page) => open_line(page, at), ...more });
const press = (testid: string) => (page: Page) => page.getByTestId(testid).first().click();
const step = async (page: Page) => {
  await open_line(page, 'adjust');
  await page.locator('[data-testid^="step-open-camber-"]').first().click();
};
/** A tablet that may look: its press is refused, and the code is asked for. */
const pressUnpaired = async (page: Page) => {
  const problem = { type: '/problems/not_paired', title: 'Not paired yet', status: 401, detail: 'This device may look. To press buttons it is paired once. Nothing was done.', remedy: 'Type the code that stands on the terminal of hubplumb. A new one is made there by: hubplumb pairing code.', code: 'not_paired' };
  await page.route('**/api/v1/swing', (route) => route.fulfill({ status: 401, contentType: 'application/problem+json', body: JSON.stringify(problem) }), { times: 1 });
  await page.getByTestId('swing-start').first().click();
  await page.getByTestId('pair-code').waitFor();
};
const STEER = '[data-testid="swing-steer"] .figure';
const WAY = '[data-testid="calibration-way"] .mark';
const ALONE = '.wheels-focus .figure';

const lines: readonly Screen[] = [
  line('visit-none', 'idle', 'visit'),
  line('visit', 'visit_before', 'visit'),
  line('prepare', 'visit_preparing', 'prepare'),
  line('boards', 'idle', 'boards'),
  { name: 'boards-trouble', scene: 'trouble' },
  { name: 'boards-uncalibrated', scene: 'uncalibrated', go: press('boards-details') },
  line('floor', 'idle', 'floor', { matters: '[data-testid="floor-across"] .figure', reads: ['[data-testid="floor-along"] .figure'] }),
  line('run-out', 'idle', 'run_out'),
  { name: 'run-out-refused', scene: 'turned' },
  line('camber', 'idle', 'camber', { reads: ['.wheel .figure'] }),
  line('camber-four', 'four', 'camber', { reads: ['.wheel .figure'] }),
  line('camber-single', 'single', 'camber', { matters: '.wheel .figure' }),
  line('swing', 'idle', 'swing'),
  { name: 'not-paired', scene: 'idle', go: pressUnpaired },
  { name: 'swing-refused', scene: 'refused' },
  { name: 'findings', scene: 'done' },
  line('checks', 'idle', 'checks'),
  line('checks-result', 'check_done', 'checks'),
  line('figures-strings', 'visit_before', 'figures'),
  ...(['gap', 'spot', 'slip', 'setback'] as const).map((way) =>
    line(`figures-${way}`, 'visit_before', 'figures', {
      go: async (page) => {
        await open_line(page, 'figures');
        await page.getByTestId(`figures-way-${way}`).click();
      },
    }),
  ),
  line('table', 'visit_after', 'table'),
  line('meaning', 'visit_before', 'meaning'),
  line('adjust', 'visit_adjusting', 'adjust'),
  line('sheet', 'visit_after', 'sheet'),
  line('visit-closed', 'visit_closed', 'table'),
];

const stages: readonly Screen[] = [
  { name: 'camber-alone', scene: 'idle', matters: ALONE, reads: ['.wheels-focus .sense', '.wheels-focus .interval'], go: (page) => page.getByTestId('camber-front_left').getByRole('button').click() },
  { name: 'swing-straight', scene: 'straight', matters: STEER },
  { name: 'swing-hold', scene: 'hold', matters: STEER },
  { name: 'swing-turning', scene: 'turning', matters: STEER },
  { name: 'swing-stop', scene: 'stop', matters: STEER },
  { name: 'swing-taken', scene: 'taken', matters: STEER },
  { name: 'swing-read', scene: 'read' },
  { name: 'swing-plates', scene: 'plates' },
  { name: 'swing-trouble', scene: 'mid_trouble', matters: STEER },
  { name: 'run-out-turning', scene: 'run_out', matters: '.run-out-stops' },
  { name: 'run-out-hold', scene: 'run_out_hold', matters: '.run-out-stops' },
  { name: 'check-rock', scene: 'check_rock', matters: '.check-countdown .mark' },
  { name: 'check-locks', scene: 'check_locks', matters: '.check-now .figure' },
  { name: 'check-carried', scene: 'check_carried' },
  { name: 'check-plates', scene: 'check_plates' },
  { name: 'calibration-lay', scene: 'calibration_lay', matters: WAY },
  { name: 'calibration-hold', scene: 'calibration_hold', matters: WAY },
  { name: 'calibration-slant', scene: 'calibration_slant', matters: WAY },
  { name: 'calibration-disagree', scene: 'calibration_disagree', matters: WAY },
  { name: 'calibration-solved', scene: 'calibration_solved', matters: '.result-figure .figure' },
  { name: 'adjust-step', scene: 'visit_adjusting', matters: '.way-size .figure', reads: ['[data-testid="work-value"] .figure'], go: step },
  {
    name: 'adjust-moved',
    scene: 'visit_adjusting',
    go: async (page) => {
      await step(page);
      await page.getByTestId('work-moved').click();
    },
  },
  {
    name: 'adjust-again',
    scene: 'visit_adjusting',
    go: async (page) => {
      await step(page);
      await page.getByTestId('work-moved').click();
      await page.getByTestId('moved-amount-0').fill('1,5');
      await page.getByTestId('moved-keep').click();
      await page.getByTestId('measure-again').waitFor();
    },
  },
];

const forms: readonly Screen[] = [
  { name: 'car-form', scene: 'idle', go: async (page) => (await open_line(page, 'visit'), await page.getByTestId('car-new').click()) },
  {
    name: 'car-form-wrong',
    scene: 'idle',
    go: async (page) => {
      await open_line(page, 'visit');
      await page.getByTestId('car-new').click();
      await page.getByTestId('car-name').fill('Typed 5');
      await page.getByTestId('car-targets.front.camber_deg.low').fill('minus');
      await page.getByTestId('car-keep').click();
    },
  },
  { name: 'car-import', scene: 'idle', go: async (page) => (await open_line(page, 'visit'), await page.getByTestId('car-import').click()) },
  { name: 'delete-ask', scene: 'visit_before', go: async (page) => (await open_line(page, 'visit'), await page.getByTestId('visit-7-remove').click()) },
  { name: 'take-back-ask', scene: 'visit_after', go: async (page) => (await open_line(page, 'table'), await page.locator('[data-testid^="take-back-"]').first().click()) },
  {
    name: 'figures-refused',
    scene: 'visit_before',
    go: async (page) => {
      await open_line(page, 'figures');
      await page.getByTestId('figures-way-setback').click();
      await page.getByTestId('figure-left').fill('12 feet wide');
      await page.getByTestId('figure-right').fill('2');
      await page.getByTestId('figures-take').click();
      await page.getByTestId('refusal-figures').waitFor();
    },
  },
];

/** What lies beside the worksheet: placing boards, the ways for a tablet, hands-free, the traces and a car's past. */
const beside: readonly Screen[] = [
  { name: 'first-none', scene: 'first_empty' },
  { name: 'first-found', scene: 'first_found' },
  { name: 'first-tap', scene: 'first_tap', reads: ['[data-testid="naming-mount"]'] },
  { name: 'first-face', scene: 'first_face' },
  { name: 'practice', scene: 'first_practice' },
  { name: 'reach', scene: 'idle', go: press('reach-open') },
  { name: 'reach-broker-away', scene: 'broker_away', go: press('reach-open') },
  { name: 'hands-free', scene: 'idle', go: press('hands-free-open') },
  line('traces', 'four', 'traces', {
    go: async (page) => {
      await open_line(page, 'traces');
      await page.getByTestId('traces').locator('canvas').first().waitFor();
    },
  }),
  {
    name: 'history',
    scene: 'visit_before',
    go: async (page) => {
      await open_line(page, 'visit');
      await page.locator('[data-testid$="-history"]').first().click();
      await page.getByTestId('history').waitFor();
    },
  },
];

const lost: readonly Screen[] = [
  { name: 'lost-camber', scene: 'idle', go: (page, gallery) => gallery.lose(page) },
  { name: 'lost-swing', scene: 'turning', go: (page, gallery) => gallery.lose(page), matters: STEER },
];

export const SCREENS: readonly Screen[] = [...lines, ...stages.map((screen) => ({ ...screen, stage: true })), ...forms, ...beside, ...lost];
