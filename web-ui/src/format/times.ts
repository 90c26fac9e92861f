// Days and times as people at the car write them, in the place's own clock.
import type { Locale } from './numbers';

const formats = new Map<string, Intl.DateTimeFormat>();

function format(locale: Locale, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = `${locale} ${JSON.stringify(options)}`;
  let known = formats.get(key);
  if (known === undefined) {
    known = new Intl.DateTimeFormat(locale, options);
    formats.set(key, known);
  }
  return known;
}

function written(at: string, locale: Locale, options: Intl.DateTimeFormatOptions): string {
  const when = new Date(at);
  return Number.isNaN(when.getTime()) ? at : format(locale, options).format(when);
}

/** Day and time of an RFC 3339 text: "25 Nov 2026, 14:05", "25.11.2026, 14:05". */
export const dayAndTime = (at: string, locale: Locale): string => written(at, locale, { dateStyle: 'medium', timeStyle: 'short' });

/** Time alone. */
export const timeOnly = (at: string, locale: Locale): string => written(at, locale, { timeStyle: 'short' });
