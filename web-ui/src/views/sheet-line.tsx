// One step of the worksheet: a line with its finding, or open. The plumb string in
// the margin passes it with a knot when it is done and ends in a bob at the step at hand.
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { openByHand } from '../state';
import type { Line } from '../state/steps';
import { Shape } from './shapes';

/** The line that was last at hand, also across a swing: the page moves only when it changes. */
let lastAtHand: Line | null = null;

interface SheetLineProps {
  line: Line;
  title: string;
  /** What stands in the line while it is closed, and beside the title while open. */
  summary?: ComponentChildren;
  /** A button that stays reachable while the line is closed. */
  action?: ComponentChildren;
  open: boolean;
  atHand: boolean;
  children?: ComponentChildren;
}

export function SheetLine({ line, title, summary, action, open, atHand, children }: SheetLineProps) {
  const section = useRef<HTMLElement>(null);
  useEffect(() => {
    if (!atHand || lastAtHand === line) return;
    // Not on the first drawing: the page then starts at its top.
    if (lastAtHand !== null) section.current?.scrollIntoView({ block: 'start', behavior: 'instant' });
    lastAtHand = line;
  }, [atHand, line]);
  const id = `line-${line}`;
  return (
    <section
      ref={section}
      class={`line${open ? ' line-open' : ''}${atHand ? ' line-at-hand' : ''}`}
      aria-labelledby={id}
      data-testid={`line-${line}`}
    >
      <span class="knot">{atHand ? <Shape name="bob" /> : null}</span>
      <div class="line-head">
        <h2 id={id}>
          {open ? (
            title
          ) : (
            <button type="button" class="line-title" aria-expanded={false} onClick={() => openByHand(line)}>
              {title}
            </button>
          )}
        </h2>
        {summary !== undefined && <div class="line-summary">{summary}</div>}
        {action}
      </div>
      {open && <div class="line-body">{children}</div>}
    </section>
  );
}
