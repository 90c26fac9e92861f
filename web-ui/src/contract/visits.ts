// The requests about cars and visits.
import type { Notation } from '../format/angles';
import { twiceIfLost } from './once';
import { ask, type Answer } from './requests';
import type { CarRecord, CarView, EnteredFigures, EntryWanted, VisitLineView, VisitView } from './types';

const cars = 'api/v1/cars';
const visits = 'api/v1/visits';
const named = (path: string, id: number, confirm: string): string => `${path}/${id}?confirm=${encodeURIComponent(confirm)}`;

export const fetchCars = (): Promise<Answer<CarView[]>> => ask(cars);
export const addCar = (record: CarRecord): Promise<Answer<CarView>> => ask(cars, record);
export const importCar = (text: string): Promise<Answer<CarView>> => ask(`${cars}/import`, { text });
export const changeCar = (id: number, record: CarRecord): Promise<Answer<CarView>> => ask(`${cars}/${id}`, record, 'PUT');
export const removeCar = (id: number, confirm: string): Promise<Answer<null>> => ask(named(cars, id, confirm), undefined, 'DELETE');

export const fetchVisits = (): Promise<Answer<VisitLineView[]>> => ask(visits);
export const fetchVisit = (id: number): Promise<Answer<VisitView>> => ask(`${visits}/${id}`);
export const beginVisit = (car: number): Promise<Answer<VisitView>> => ask(visits, { car });
export const takeToHand = (id: number): Promise<Answer<VisitView>> => ask(`${visits}/${id}/to-hand`, {});
export const putAway = (): Promise<Answer<null>> => ask(`${visits}/put-away`, {});
export const removeVisit = (id: number, confirm: string): Promise<Answer<null>> => ask(named(visits, id, confirm), undefined, 'DELETE');

export const addEntry = (id: number, what: EntryWanted): Promise<Answer<VisitView>> =>
  twiceIfLost((name) => ask(`${visits}/${id}/entries`, { ask: name, what }));
export const addFigures = (id: number, figures: EnteredFigures): Promise<Answer<VisitView>> =>
  twiceIfLost((name) => ask(`${visits}/${id}/figures`, { ask: name, figures }));

/** Where the printable sheet of a visit is, in the language and the notation of angles of the page. */
export const sheetOf = (id: number, notation: Notation, language: string): string => `sheet/${id}?language=${language}${notation === 'minutes' ? '&minutes' : ''}`;
/** Where the files of a visit are. */
export const exportOf = (id: number, kind: 'json' | 'csv'): string => `${visits}/${id}/export.${kind}`;
