// The inks of the page for what is drawn on a canvas, which no style sheet reaches.

export interface Inks {
  ink: string;
  soft: string;
  rule: string;
  line: string;
  doubt: string;
  gap: string;
  face: string;
}

/** The inks in force where `element` stands. */
export function inksOf(element: Element): Inks {
  const style = getComputedStyle(element);
  const ink = (name: string): string => style.getPropertyValue(name).trim();
  return {
    ink: ink('--ink'),
    soft: ink('--ink-soft'),
    rule: ink('--rule'),
    line: ink('--blue'),
    doubt: ink('--doubt'),
    gap: ink('--ochre'),
    face: style.fontFamily,
  };
}
