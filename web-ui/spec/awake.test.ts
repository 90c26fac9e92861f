import { signal } from '@preact/signals';
import { describe, expect, it } from 'vitest';
import { holdScreen, type ScreenLock, type ScreenWorld } from '../src/state/awake';

/** A browser with a wake lock that can be taken away and refused. */
class Browser implements ScreenWorld {
  secure = true;
  shown = true;
  allows = true;
  asked = 0;
  released = 0;
  private tell: () => void = () => undefined;
  private takenAway: (() => void) | null = null;
  request: ScreenWorld['request'] = () => {
    this.asked += 1;
    if (!this.allows) return Promise.reject(new Error('not allowed'));
    const lock: ScreenLock = {
      release: () => {
        this.released += 1;
        this.takenAway = null;
        return Promise.resolve();
      },
      onRelease: (then) => (this.takenAway = then),
    };
    return Promise.resolve(lock);
  };
  isShown = () => this.shown;
  onShownChange = (then: () => void) => (this.tell = then);

  /** The page goes to the back or comes to the front; a lock does not outlast the former. */
  show(shown: boolean): void {
    this.shown = shown;
    if (!shown) {
      const tell = this.takenAway;
      this.takenAway = null;
      tell?.();
    }
    this.tell();
  }
  get holds(): boolean {
    return this.takenAway !== null;
  }
}

const settled = () => new Promise((done) => setTimeout(done));

describe('the screen', () => {
  it('is held while wanted and let go after', async () => {
    const browser = new Browser();
    const wanted = signal(false);
    const { state } = holdScreen(browser, wanted);
    expect([state.value, browser.asked]).toEqual(['not_wanted', 0]);
    wanted.value = true;
    expect(state.value).toBe('asked');
    await settled();
    expect([state.value, browser.holds]).toEqual(['kept', true]);
    wanted.value = false;
    await settled();
    expect([state.value, browser.holds, browser.released]).toEqual(['not_wanted', false, 1]);
  });

  it('is asked for again when the page comes back', async () => {
    const browser = new Browser();
    const { state } = holdScreen(browser, signal(true));
    await settled();
    browser.show(false);
    await settled();
    expect([state.value, browser.asked, browser.holds]).toEqual(['hidden', 1, false]);
    browser.show(true);
    await settled();
    expect([state.value, browser.asked, browser.holds]).toEqual(['kept', 2, true]);
  });

  it('that is refused says so, is not asked for over and over, and is tried again after a touch or a return', async () => {
    const browser = new Browser();
    browser.allows = false;
    const { state, again } = holdScreen(browser, signal(true));
    await settled();
    expect([state.value, browser.asked]).toEqual(['not_allowed', 1]);
    await settled();
    expect(browser.asked).toBe(1);
    again();
    // What was told stays told while it is tried: nothing jumps under a finger.
    expect(state.value).toBe('not_allowed');
    await settled();
    expect([state.value, browser.asked]).toEqual(['not_allowed', 2]);
    browser.allows = true;
    browser.show(false);
    browser.show(true);
    await settled();
    expect(state.value).toBe('kept');
  });

  it('is let go also when it is given only after nobody wants it any more', async () => {
    const browser = new Browser();
    const wanted = signal(true);
    const { state } = holdScreen(browser, wanted);
    wanted.value = false;
    await settled();
    expect([state.value, browser.holds]).toEqual(['not_wanted', false]);
  });

  it.each([
    [false, 'insecure'],
    [true, 'unsupported'],
  ] as const)('cannot be held without a wake lock; secure: %s means %s', (secure, state) => {
    const browser = Object.assign(new Browser(), { secure, request: null });
    expect(holdScreen(browser, signal(true)).state.value).toBe(state);
  });
});
