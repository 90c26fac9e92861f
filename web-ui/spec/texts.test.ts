import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { de } from '../src/texts/de';
import { en } from '../src/texts/en';
import { proseIn, sentencesIn, textsKeptIn } from './prose';

/** Texts of a tree by their path; functions are called with sample arguments. */
type Said = Map<string, string>;

/** Arguments that bring out both numbers, both cases, every branch that a text may have. */
const SAMPLES: readonly (readonly unknown[])[] = [
  ['Alpha', 'Beta', 'Gamma'],
  [1, 1, 1],
  [3, 5, 7],
  [3, null, null],
  ['1,5', null, null],
  [null, '2,5', null],
  [0, true, true],
  [0, false, false],
];
const SHAPED: Record<string, readonly (readonly unknown[])[]> = {
  'calibration.way': [[{ kind: 'upright', arrow: 'X', up: true }], [{ kind: 'upright', arrow: 'Y', up: false }], [{ kind: 'slant', first: 'X', second: 'Z' }], [{ kind: 'new' }]],
  'form.place': [
    [{ adjuster: 2, axle: 'front', name: 'Alpha', limit: 'Beta', apart: true }],
    [{ adjuster: null, axle: 'rear', name: 'Alpha', limit: null, apart: false }],
  ],
  'findings.leftOut': [[[3]], [[2, 4]]],
};

function tell(tree: unknown, path: string, said: Said): Said {
  if (typeof tree === 'string') said.set(path, tree);
  else if (typeof tree === 'function') {
    for (const [nth, given] of (SHAPED[path] ?? SAMPLES).entries()) said.set(`${path}(${nth})`, (tree as (...given: readonly unknown[]) => string)(...given));
  } else for (const [key, below] of Object.entries(tree as object)) tell(below, path === '' ? key : `${path}.${key}`, said);
  return said;
}

const english = tell(en, '', new Map());
const german = tell(de, '', new Map());

/** Letters of a text: units, signs and the sample words are the same in every language. */
const lettersOf = (text: string): string =>
  text
    .replace(/Alpha|Beta|Gamma|\b(null|true|false)\b/g, '')
    .replace(/(?<=^|[\s\d(±.:,\u00a0])(mm|kPa|s|mg|ppm|dBm|°C|C)(?=$|[\s.,)])/g, '')
    .replace(/[^\p{L}]/gu, '');

/** Texts that are the same in both languages, and why. */
const ALIKE: ReadonlyMap<string, string> = new Map([
  ['head.name', 'the program’s own name'],
  ['form.field.name.0', 'German says Name as well'],
  ['boards.firmware', 'a loan word'],
  ['calibration.cautions.0.0', 'warm is warm'],
]);

describe('every language', () => {
  it('has the same texts, and none is empty where English has words', () => {
    expect([...german.keys()]).toEqual([...english.keys()]);
    for (const [path, text] of english) if (lettersOf(text) !== '') expect(lettersOf(german.get(path) ?? ''), path).not.toBe('');
  });

  it('names itself', () => expect([en.code, de.code]).toEqual(['en', 'de']));
});

describe('German', () => {
  it('has no text left in English', () => {
    const same = [...english].filter(([path, text]) => lettersOf(text) !== '' && lettersOf(german.get(path) ?? '').toLowerCase() === lettersOf(text).toLowerCase());
    expect(same.map(([path, text]) => `${path}: ${text}`).filter((line) => !ALIKE.has(line.split(': ')[0]!))).toEqual([]);
  });

  it('lists as alike only what is alike', () => {
    for (const path of ALIKE.keys()) expect(lettersOf(german.get(path) ?? '').toLowerCase(), path).toBe(lettersOf(english.get(path) ?? 'x').toLowerCase());
  });

  it('carries every argument that English carries', () => {
    const carried = (text: string) => ['Alpha', 'Beta', 'Gamma'].filter((word) => text.includes(word));
    for (const [path, text] of english) expect(carried(german.get(path) ?? ''), path).toEqual(carried(text));
  });

  // The commonest small words of English; none of them is a German word.
  const ENGLISH = /\b(the|and|of|is|are|not|with|to|from|for|board|wheel|wheels|this|that|it|its|take|turn|each|by|on|at)\b/i;
  it.each([...german].filter(([, text]) => ENGLISH.test(text)).map(([path, text]) => [path, text]))('%s has no English word: %s', (path) => expect(path).toBe('none'));

  it('addresses nobody and quotes as German does', () => {
    for (const [path, text] of german) {
      expect(text, path).not.toMatch(/\b(du|dein|deine|dir|dich|bitte|man)\b/);
      // These are a polite address in the middle of a sentence; at its beginning they may stand for things.
      expect(text, path).not.toMatch(/[\p{Ll},] (Sie|Ihr|Ihre|Ihren|Ihnen)\b/u);
      expect(text, path).not.toMatch(/["'“‘]|(?<!„[^“]*)“/);
      expect(text, path).not.toMatch(/\d\.\d(?! oder|\D*mm oder)/);
    }
  });
});

describe('the sources', () => {
  const files = (folder: URL): URL[] =>
    readdirSync(folder, { withFileTypes: true }).flatMap((entry) => (entry.isDirectory() ? files(new URL(`${entry.name}/`, folder)) : [new URL(entry.name, folder)]));
  const sources = ['state', 'contract', 'views', 'picture', 'format'].flatMap((folder) =>
    files(new URL(`../src/${folder}/`, import.meta.url))
      .filter((file) => !file.pathname.endsWith('/openapi.ts'))
      .map((file) => [file.pathname.split('/src/')[1]!, readFileSync(file, 'utf8')] as const),
  );
  const views = files(new URL('../src/views/', import.meta.url)).map((file) => [file.pathname.split('/views/')[1]!, readFileSync(file, 'utf8')] as const);

  it.each(views)('%s has no words of its own', (_, source) => expect(proseIn(source)).toEqual([]));

  it.each(views)('%s writes numbers by the language and notation chosen', (_, source) => {
    const taken = [...source.matchAll(/import \{([^}]*)\} from '(?:\.\.\/)+format\/(\w+)'/g)].flatMap(([, names = '']) => names.split(',').map((name) => name.trim()));
    // Reading what was typed and measuring its room take no language.
    const allowed = ['readAngle', 'readDeg', 'hasSign', 'figureWidth_em', 'wordsWidth_em', 'FACE', 'SIGN_SCALE'];
    expect(taken.filter((name) => !name.startsWith('type ') && !allowed.includes(name))).toEqual([]);
  });

  it.each(sources)('%s keeps no text beyond its drawing', (_, source) => expect(textsKeptIn(source)).toEqual([]));

  it('would not keep one in a table', () => {
    expect(textsKeptIn('const A = { a: <p>{texts.swing.left}</p>, b: () => texts.swing.right };\nconst b = texts.check;')).toEqual(['texts.swing', 'texts.check']);
  });

  it.each(sources)('%s has no sentence for a person', (_, source) => expect(sentencesIn(source)).toEqual([]));

  it('would not have a sentence in a constant', () => {
    expect(sentencesIn("const a = { title: 'The daemon refused', b: `It said ${c} and no more.`, d: 'boards boards-brief' };")).toEqual(['The daemon refused', 'It said', 'and no more.']);
  });

  it.each([
    ['words between tags', '<p>Hold still</p>', ['Hold still']],
    ['a label', '<input aria-label="Toe of the wheel" />', ['Toe of the wheel']],
    ['a label put together', '<p aria-label={`Toe ${wheel}`} />', ['Toe']],
    ['a word in braces', "<p>{live ? 'live' : texts.old}</p>", ['live']],
    ['a title', "<h3 title={'Camber'}>{texts.camber}</h3>", ['Camber']],
    ['a word between an element and a value', '<p>camber <b>{value}</b></p>', ['camber']],
  ])('would not get past with %s', (_, jsx, found) => expect(proseIn(`const View = () => (${jsx});`)).toEqual(found));

  it.each([
    '<p class="hint" data-testid="x">{texts.a.b}</p>',
    '<path d={`M${x} 0v38`} class={open ? "up" : "down"} />',
    '<span key={nth} style={{ left: "3px" }}>°</span>',
    "<Pick chosen={kind} onPick={(one) => put('kind', one)} testid={`pick-${kind}`} />",
    "<p>{kind === 'play' ? texts.a : texts.b}</p>",
  ])('may have %s', (jsx) => expect(proseIn(`const View = () => (${jsx});`)).toEqual([]));
});
