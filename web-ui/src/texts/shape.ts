// The shape that the texts of every language have.
import type { en } from './en';
import type { glance } from './en/glance';

/** What to see to, in one or two words, and how. */
export type Cautions = readonly (readonly [string, string])[];

/** Where a field of the form of a car stands. */
export interface FieldPlace {
  /** Counted from one; null outside the adjusters. */
  adjuster: number | null;
  axle: 'front' | 'rear' | null;
  name: string;
  /** The limit's own word, as the column says it. */
  limit: string | null;
  /** The most that left and right may be apart. */
  apart: boolean;
}

/** The same shape with any words in it. */
type Worded<T> = T extends string
  ? string
  : T extends (...given: infer Given) => infer Said
    ? (...given: Given) => Worded<Said>
    : { [Key in keyof T]: Worded<T[Key]> };

/** English is written first; whatever it has, every language has. */
export type Texts = Worded<typeof en>;

/** What is said of the figures before all words are there. */
export type GlanceTexts = Worded<typeof glance>;
