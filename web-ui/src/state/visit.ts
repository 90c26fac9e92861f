// Cars and visits as the page holds them, and what the operator wishes of them.
import { batch, computed, effect, signal } from '@preact/signals';
import type { Answer } from '../contract/requests';
import * as requests from '../contract/visits';
import type { CarRecord, CarView, Conditions, EnteredFigures, EntryWanted, Point, ProblemView, Stage, VisitLineView, VisitView, WorkStepView } from '../contract/types';
import { daemon, followWork, visitStage } from './index';
import { settled } from './settled';
import type { Language } from './choices';
import { language } from './language';

/** The visit at hand as last told; null where none is. */
export const visit = signal<VisitView | null>(null);
/** Cars that are kept; null until they were asked for. */
export const cars = signal<readonly CarView[] | null>(null);
/** Visits, newest first; null until they were asked for. */
export const visits = signal<readonly VisitLineView[] | null>(null);

/** What lies over the worksheet. */
export type Panel = { kind: 'car'; id: number | null } | { kind: 'import' } | { kind: 'history'; id: number } | { kind: 'work'; step: WorkStepView };
export const panel = signal<Panel | null>(null);

/** The step on the whole screen, as it stands now; after a move the daemon may tell it no more. */
export const stepOnStage = computed<WorkStepView | null>(() => {
  const shown = panel.value;
  if (shown?.kind !== 'work') return null;
  const { quantity, place } = shown.step;
  return visit.value?.work.find((step) => step.quantity === quantity && step.place === place) ?? shown.step;
});

/** Where a request was made from: its refusal is shown there. */
export type Asker = 'cars' | 'car' | 'import' | 'visits' | 'visit' | 'prepare' | 'figures' | 'table' | 'work' | 'check';
export const refused = signal<{ by: Asker; problem: ProblemView } | null>(null);
/** A request about cars or visits is on its way. */
export const busy = signal(false);

/** The stage of the visit at hand; null without one. */
export const stage = computed<Stage | null>(() => visit.value?.stage ?? null);
/** Nothing can be added to a visit that is closed. */
export const isOpenVisit = computed(() => visit.value !== null && visit.value.stage !== 'closed');

async function made<T>(by: Asker, request: Promise<Answer<T>>, then: (value: T) => void = () => undefined): Promise<boolean> {
  busy.value = true;
  const answer = await request;
  batch(() => {
    busy.value = false;
    if (answer.ok) {
      if (refused.value?.by === by) refused.value = null;
      then(answer.value);
    } else refused.value = { by, problem: answer.problem };
  });
  return answer.ok;
}

export function forgetRefusal(by: Asker): void {
  if (refused.value?.by === by) refused.value = null;
}

/** Is it known what was at hand when the page was opened? That is no step of the work: what was opened by hand until then stays. */
let met = false;

/** A visit that was told later is never put behind one that was told earlier. */
function take(told: VisitView): void {
  const shown = visit.value;
  if (shown !== null && shown.id === told.id && told.entries < shown.entries) return;
  if (met && (shown?.id !== told.id || shown.stage !== told.stage)) followWork();
  show(told.at_hand ? told : null);
}

function show(shown: VisitView | null): void {
  met = true;
  batch(() => {
    visit.value = shown;
    visitStage.value = shown?.stage ?? null;
  });
}

export async function loadLists(): Promise<void> {
  await made('cars', requests.fetchCars(), (value) => (cars.value = value));
  await made('visits', requests.fetchVisits(), (value) => (visits.value = value));
}

const afterwards = (): void => void loadLists();

export const wish = {
  keepCar: (id: number | null, record: CarRecord) =>
    made('car', id === null ? requests.addCar(record) : requests.changeCar(id, record), () => {
      panel.value = null;
      afterwards();
    }),
  importCar: (text: string) =>
    made('import', requests.importCar(text), () => {
      panel.value = null;
      afterwards();
    }),
  removeCar: (id: number, confirm: string) => made('cars', requests.removeCar(id, confirm), afterwards),
  begin: (car: number) => made('cars', requests.beginVisit(car), (told) => (take(told), afterwards())),
  toHand: (id: number) => made('visits', requests.takeToHand(id), (told) => (take(told), afterwards())),
  putAway: () =>
    made('visit', requests.putAway(), () => {
      show(null);
      followWork();
      afterwards();
    }),
  removeVisit: (id: number, confirm: string) =>
    made('visits', requests.removeVisit(id, confirm), () => {
      if (visit.value?.id === id) show(null);
      afterwards();
    }),
};

/** Adds an entry to the visit at hand. */
async function enter(by: Asker, what: EntryWanted): Promise<boolean> {
  const id = visit.peek()?.id;
  return id === undefined ? false : made(by, requests.addEntry(id, what), take);
}

export const note = {
  prepared: (point: Point, done: boolean, text: string) => enter('prepare', { entry: 'prepared', point, done, note: text }),
  conditions: (conditions: Conditions) => enter('prepare', { entry: 'conditions', ...conditions }),
  stage: (to: Stage) => enter('visit', { entry: 'stage', stage: to }),
  moved: (what: Omit<Extract<EntryWanted, { entry: 'moved' }>, 'entry'>) => enter('work', { entry: 'moved', ...what }),
  takenBack: (number: number, why: string) => enter('table', { entry: 'taken_back', number, why }),
  text: (text: string) => enter('visit', { entry: 'note', text }),
};

export async function enterFigures(figures: EnteredFigures): Promise<boolean> {
  const id = visit.peek()?.id;
  return id === undefined ? false : made('figures', requests.addFigures(id, figures), take);
}

/** Pause before a visit that could not be had is asked for again. */
const AGAIN_MS = 2000;

/** Asks for the visit at hand until it is had or another one is told. */
function load(id: number, isWanted: () => boolean): void {
  void requests.fetchVisit(id).then((answer) => {
    if (!isWanted()) return;
    if (answer.ok) take(answer.value);
    else {
      refused.value = { by: 'visit', problem: answer.problem };
      if (answer.problem.code === 'unreached') setTimeout(() => isWanted() && load(id, isWanted), AGAIN_MS);
    }
  });
}

/** Follows the visit at hand: it is asked for anew when the stream tells another one or another entry, or in another language. */
export function followVisit(): void {
  const at_hand = computed(() => {
    if (daemon.value === null) return null;
    const { id = null, entries } = daemon.value.visit;
    return `${id ?? ''}/${entries} ${language.value}`;
  });
  effect(() => {
    const told = at_hand.value;
    if (told === null) return;
    const id = daemon.peek()?.visit.id ?? null;
    if (id === null) show(null);
    else load(id, () => at_hand.peek() === told);
  });
  let known: Language | null = null;
  effect(() => {
    if (!settled.value || known === language.value) return;
    known = language.value;
    void loadLists();
  });
}
