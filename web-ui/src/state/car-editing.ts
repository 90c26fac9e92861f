// The car that is being typed.
import { batch, signal } from '@preact/signals';
import type { CarRecord } from '../contract/types';
import { NEW_ADJUSTER, type AdjusterDraft } from './adjuster-draft';
import { carOf, draftOfCar, EMPTY_CAR, type CarDraft } from './car-draft';
import { locale } from './language';
import { forgetRefusal, panel, wish } from './visit';

export const carDraft = signal<CarDraft>(EMPTY_CAR);
/** Paths that were no figures when it was last tried to keep the car. */
export const carWrong = signal<readonly string[]>([]);

export function beginEdit(id: number | null, record?: CarRecord): void {
  batch(() => {
    carDraft.value = record ? draftOfCar(record, locale.peek()) : EMPTY_CAR;
    carWrong.value = [];
    forgetRefusal('car');
    panel.value = { kind: 'car', id };
  });
}

export function typeField(path: string, text: string): void {
  const draft = carDraft.value;
  batch(() => {
    carDraft.value = { ...draft, typed: { ...draft.typed, [path]: text } };
    carWrong.value = carWrong.value.filter((wrong) => wrong !== path);
  });
}

export function changeAdjuster(nth: number, more: Partial<AdjusterDraft>): void {
  const draft = carDraft.value;
  batch(() => {
    carDraft.value = { ...draft, adjusters: draft.adjusters.map((one, at) => (at === nth ? { ...one, ...more } : one)) };
    carWrong.value = carWrong.value.filter((wrong) => !wrong.startsWith(`adjuster.${nth}.`));
  });
}

export function addAdjuster(): void {
  carDraft.value = { ...carDraft.value, adjusters: [...carDraft.value.adjusters, NEW_ADJUSTER] };
}

export function dropAdjuster(nth: number): void {
  carDraft.value = { ...carDraft.value, adjusters: carDraft.value.adjusters.filter((_, at) => at !== nth) };
}

export function keepCar(id: number | null): void {
  const read = carOf(carDraft.value);
  carWrong.value = read.wrong;
  if (read.record !== null) void wish.keepCar(id, read.record);
}
