import { effect } from '@preact/signals';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { ask } from '../src/contract/requests';
import { firstKnown, firstLanguage, LANGUAGES } from '../src/state/choices';
import { chooseLanguage, language, locale, OWN_NAME, startLanguage } from '../src/state/language';
import { angle, plain, timeOnly } from '../src/state/shown';
import { chooseNotation } from '../src/state/notation';
import { texts } from '../src/texts';
import { de } from '../src/texts/de';
import { glance as deGlance } from '../src/texts/de/glance';
import { en } from '../src/texts/en';
import { glance } from '../src/texts/en/glance';

const page = { documentElement: { lang: 'en' } };
let store: Map<string, string>;

beforeEach(() => {
  store = new Map();
  vi.stubGlobal('document', page);
  vi.stubGlobal('localStorage', { getItem: (key: string) => store.get(key) ?? null, setItem: (key: string, value: string) => void store.set(key, value) });
});
afterEach(async () => {
  await chooseLanguage('en');
  chooseNotation('degrees');
  vi.unstubAllGlobals();
});

describe('the language at the first start', () => {
  it.each([
    [['de-AT', 'en'], 'de'],
    [['fr-FR', 'de', 'en'], 'de'],
    [['en-US', 'de'], 'en'],
    [['DE'], 'de'],
    [['nds', 'fr'], 'en'],
    [[], 'en'],
  ] as const)('is, of %j, %s', (wished, code) => expect(firstKnown(wished)).toBe(code));

  it('is the one that was kept, whatever the browser would like', async () => {
    vi.stubGlobal('navigator', { languages: ['en-GB'] });
    store.set('hubplumb-language', 'de');
    await startLanguage();
    expect([language.value, page.documentElement.lang, texts.boards.title]).toEqual(['de', 'de', 'Platinen']);
  });

  it('has the words of the first figures in the language that it goes on in', () => {
    for (const [code, first, all] of [['en', glance, en], ['de', deGlance, de]] as const) {
      store.set('hubplumb-language', code);
      expect(firstLanguage()).toBe(code);
      expect([all.mounts, all.camber.title, all.camber.fresh, all.camber.noValue, all.camber.ago('3 s'), all.findings.interval('0.1')]).toEqual([first.mounts, first.title, first.fresh, first.noValue, first.ago('3 s'), first.interval('0.1')]);
    }
  });

  it('is the browser’s where something else was kept, and only a choice is kept', async () => {
    vi.stubGlobal('navigator', { languages: ['de-CH'] });
    store.set('hubplumb-language', 'tlh');
    await startLanguage();
    expect(language.value).toBe('de');
    expect(store.get('hubplumb-language')).toBe('tlh');
  });

  it('does without a store', async () => {
    vi.stubGlobal('navigator', { languages: ['de'] });
    vi.stubGlobal('localStorage', {
      getItem: () => {
        throw new Error('forbidden');
      },
    });
    await startLanguage();
    expect(language.value).toBe('de');
  });
});

describe('choosing a language', () => {
  it('shows it, keeps it, and tells everything that reads a text, once', async () => {
    const seen: string[] = [];
    const stop = effect(() => void seen.push(`${texts.swing.title} ${plain(1.5, 1)}`));
    await chooseLanguage('de');
    stop();
    expect(seen).toEqual(['Steering swing 1.5', 'Lenkschwenk 1,5']);
    expect([store.get('hubplumb-language'), page.documentElement.lang, locale.value]).toEqual(['de', 'de', 'de-DE']);
  });

  it('ends at the last choice, whichever was there first', async () => {
    await Promise.all([chooseLanguage('de'), chooseLanguage('en')]);
    expect([language.value, texts.boards.title, store.get('hubplumb-language')]).toEqual(['en', 'Boards', 'en']);
  });

  it('writes numbers and times by it, and angles by the notation as well', async () => {
    await chooseLanguage('de');
    expect([angle(-1.25), timeOnly('2026-11-25T14:05:00')]).toEqual(['−1,25°', '14:05']);
    chooseNotation('minutes');
    expect(angle(-1.25)).toBe('−1°15′');
  });

  it('is told to the daemon with every request', async () => {
    const told: (string | null)[] = [];
    vi.stubGlobal('fetch', (_: string, request: RequestInit) => {
      told.push(new Headers(request.headers).get('accept-language'));
      return Promise.resolve(new Response(null, { status: 204 }));
    });
    await ask('api/v1/state');
    await chooseLanguage('de');
    await ask('api/v1/swing', {});
    expect(told).toEqual(['en', 'de']);
  });

  it('words what the page itself says about the daemon', async () => {
    vi.stubGlobal('fetch', () => Promise.reject(new Error('no net')));
    await chooseLanguage('de');
    const answer = await ask('api/v1/state');
    expect(answer).toMatchObject({ ok: false, problem: { code: 'unreached', title: 'Der Dienst antwortet nicht' } });
  });

  it('offers each under its own name', () => {
    expect(LANGUAGES.map((one) => OWN_NAME[one])).toEqual(['English', 'Deutsch']);
  });
});
