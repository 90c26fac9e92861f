// Days and times as people at the car write them.

/** Day and time of an RFC 3339 text, in the place's own clock: "25.11.2026 14:05" or as the tablet's language has it. */
export function dayAndTime(at: string): string {
  const when = new Date(at);
  return Number.isNaN(when.getTime()) ? at : when.toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
}

/** Day alone, short: many stand side by side. */
export function dayOnly(at: string): string {
  const when = new Date(at);
  return Number.isNaN(when.getTime()) ? at : when.toLocaleDateString(undefined, { dateStyle: 'medium' });
}

/** Time alone. */
export function timeOnly(at: string): string {
  const when = new Date(at);
  return Number.isNaN(when.getTime()) ? at : when.toLocaleTimeString(undefined, { timeStyle: 'short' });
}
