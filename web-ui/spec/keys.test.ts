import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { confirmation, Held, meaningOf, SETTLE_MS, type Landing } from '../src/state/key-rules';

const CONFIRM = ['Enter', ' ', 'PageDown', 'ArrowRight', 'MediaPlayPause', 'MediaTrackNext'];
const REPEAT = ['PageUp', 'ArrowLeft', 'MediaTrackPrevious'];
const on = (key: string, landing: Landing = 'page', modified = false) => meaningOf({ key, landing, modified });

describe('a struck key', () => {
  it.each(CONFIRM)('%j confirms', (key) => expect(on(key)).toBe('confirm'));
  it.each(REPEAT)('%j repeats', (key) => expect(on(key)).toBe('repeat'));
  it.each(['Escape', 'Backspace', 'Delete', 'Tab', 'a', '1', 'F5', 'ArrowUp', 'ArrowDown', 'Home', 'End', 'toString'])('%j means nothing', (key) => {
    expect(on(key)).toBe('none');
  });

  it('never means anything in a field that is typed into', () => {
    for (const key of [...CONFIRM, ...REPEAT]) expect(on(key, 'field')).toBe('none');
  });

  it('never means anything with Ctrl, Alt, Meta or Shift', () => {
    for (const key of [...CONFIRM, ...REPEAT]) expect(on(key, 'page', true)).toBe('none');
  });

  it.each([
    ['Enter', 'button', 'none'],
    [' ', 'button', 'none'],
    ['PageDown', 'button', 'confirm'],
    ['Enter', 'primary', 'confirm'],
    [' ', 'primary', 'confirm'],
    [' ', 'choice', 'none'],
    ['ArrowRight', 'choice', 'none'],
    ['ArrowLeft', 'choice', 'none'],
    ['PageDown', 'choice', 'confirm'],
    ['MediaTrackNext', 'choice', 'confirm'],
  ] as const)('%j on a %s means %s', (key, landing, meaning) => expect(on(key, landing)).toBe(meaning));
});

describe('the action at hand', () => {
  const action = (more: Partial<Parameters<typeof confirmation>[0]> = {}) => ({ since_ms: 1000, settle_ms: SETTLE_MS, inView: true, ...more });

  it('runs once it has stood long enough, and only in view', () => {
    expect(confirmation(action(), 1000 + SETTLE_MS, -Infinity)).toBe('run');
    expect(confirmation(action(), 999 + SETTLE_MS, -Infinity)).toBe('too_soon');
    expect(confirmation(action({ inView: false }), 2000, -Infinity)).toBe('show');
    expect(confirmation(null, 2000, -Infinity)).toBe('nothing');
  });

  it('may ask for longer: a straight-edge is not turned in half a second', () => {
    expect(confirmation(action({ settle_ms: 3000 }), 3999, -Infinity)).toBe('too_soon');
    expect(confirmation(action({ settle_ms: 3000 }), 4000, -Infinity)).toBe('run');
  });

  it('is never run twice within the time to settle, nor before it has settled', () => {
    fc.assert(
      fc.property(fc.array(fc.record({ after_ms: fc.integer({ min: 1, max: 600 }), isNew: fc.boolean() }), { maxLength: 60 }), (strokes) => {
        let [now_ms, since_ms, last_ms] = [10_000, 0, -Infinity];
        const runs: number[] = [];
        for (const { after_ms, isNew } of strokes) {
          now_ms += after_ms;
          if (isNew) since_ms = now_ms - 1;
          if (confirmation({ since_ms, settle_ms: SETTLE_MS, inView: true }, now_ms, last_ms) !== 'run') continue;
          expect(now_ms - since_ms).toBeGreaterThanOrEqual(SETTLE_MS);
          last_ms = now_ms;
          runs.push(now_ms);
        }
        for (const [nth, run_ms] of runs.entries()) if (nth > 0) expect(run_ms - runs[nth - 1]!).toBeGreaterThanOrEqual(SETTLE_MS);
      }),
    );
  });
});

describe('a held key', () => {
  it('counts once, whether or not the browser says that it repeats', () => {
    for (const repeat of [true, false]) {
      const held = new Held();
      expect(held.strike('PageDown', false)).toBe(true);
      for (let nth = 0; nth < 20; nth += 1) expect(held.strike('PageDown', repeat)).toBe(false);
      held.lift('PageDown');
      expect(held.strike('PageDown', false)).toBe(true);
    }
  });

  it('that was down when the page lost the keyboard counts anew after it', () => {
    const held = new Held();
    held.strike('Enter', false);
    held.forget();
    expect(held.strike('Enter', false)).toBe(true);
  });

  it('does not keep another key from counting, nor a media key that is never told to end', () => {
    const held = new Held();
    held.strike('Enter', false);
    expect(held.strike('Space', false)).toBe(true);
    expect(held.strike('MediaPlayPause', false)).toBe(true);
    expect(held.strike('MediaPlayPause', false)).toBe(true);
    expect(held.strike('MediaPlayPause', true)).toBe(false);
  });
});
