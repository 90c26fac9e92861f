import { effect } from '@preact/signals';
import { describe, expect, it } from 'vitest';
import { state } from '../dev/scenes';
import { daemon } from '../src/state';
import { boardsTroubled, levellingNow, newestSheet, wheelsNow } from '../src/state/sections';
import { onStage } from '../src/state/staged';

/** How often something that is followed changed since it was first seen. */
function changes(read: () => unknown): { count: number; stop: () => void } {
  const seen = { count: -1, stop: () => undefined as void };
  seen.stop = effect(() => {
    read();
    seen.count += 1;
  });
  return seen;
}

describe('sections', () => {
  it('change with what they show and with nothing else', () => {
    const first = state();
    daemon.value = first;
    const wheels = changes(() => wheelsNow.value);
    const levelling = changes(() => levellingNow.value);
    const stage = changes(() => onStage.value);
    const troubled = changes(() => boardsTroubled.value);
    const sheet = changes(() => newestSheet.value);
    for (let nth = 1; nth <= 20; nth += 1) {
      daemon.value = { ...first, serial: first.serial + nth, now_us: first.now_us + nth, wheels: [...first.wheels], boards: [...first.boards] };
    }
    expect(wheels.count).toBe(20);
    expect([levelling.count, stage.count, troubled.count, sheet.count]).toEqual([0, 0, 0, 0]);
    daemon.value = { ...first, levelling: { ...first.levelling } };
    expect(levelling.count).toBe(1);
    for (const seen of [wheels, levelling, stage, troubled, sheet]) seen.stop();
  });

  it('give what is newest when they are followed late', () => {
    const first = state();
    daemon.value = first;
    expect(wheelsNow.value?.wheels).toBe(first.wheels);
    const next = { ...first, wheels: [] };
    daemon.value = next;
    expect(wheelsNow.value?.wheels).toEqual([]);
  });
});
