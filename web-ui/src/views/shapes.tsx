// The shapes that carry states and verdicts, so that none of them depends on colour.
import type { BoardState } from '../contract/types';
import type { Deed } from '../state/steps';

export type ShapeName = BoardState | Deed | 'calibrated' | 'aged' | 'uncalibrated' | 'inside' | 'outside' | 'undecided' | 'unjudged' | 'mind' | 'bob' | 'broken' | 'enlarge' | 'tablet';

const line = { fill: 'none', stroke: 'currentColor', 'stroke-width': 2.6, 'stroke-linecap': 'round', 'stroke-linejoin': 'round' } as const;
const solid = { fill: 'currentColor' } as const;

const bob = <path d="M8 10h8l.8 4L12 22l-4.8-8zM11 2h2v7h-2z" {...solid} />;
const brackets = <path d="M9 4H5v16h4M15 4h4v16h-4" {...line} />;

const DRAWN: Record<ShapeName, preact.JSX.Element> = {
  // Boards: a full disc says readings arrive; everything else has a hole, a bar or a break.
  live: <circle cx="12" cy="12" r="8" {...solid} />,
  absent: <path d="M5.5 7.5A8 8 0 0 1 16 5M18.5 16.5A8 8 0 0 1 8 19" {...line} />,
  refused: <path d="M4 4h16v16H4zM4 20 20 4" {...line} />,
  silent: <path d="M4 4h16v16H4zM8 12h8" {...line} />,
  unreadable: <path d="m2 16 4-8 4 8 4-8 4 8 4-8" {...line} />,
  listening: <path d="M6 12h.01M10 8a6 6 0 0 1 0 8M14 5a11 11 0 0 1 0 14M18 2a16 16 0 0 1 0 20" {...line} />,
  // Calibrations: a sighted ring, a ring with the hands of a clock, a ring that is not closed.
  calibrated: <path d="M12 2v20M2 12h20M12 6a6 6 0 1 0 0 12 6 6 0 0 0 0-12" {...line} />,
  aged: <path d="M12 3a9 9 0 1 0 0 18 9 9 0 0 0 0-18M12 7v5l4 3" {...line} />,
  uncalibrated: <circle cx="12" cy="12" r="8.5" stroke-dasharray="4.5 4.4" {...line} />,
  // What to do with the wheels.
  hold: <path d="M3 3h18v18H3z" {...solid} />,
  move: <path d="m8 4-7 8 7 8v-5h8v5l7-8-7-8v5H8z" {...solid} />,
  rest: bob,
  read: <path d="M4 3h16v18H4zM8 8h8M8 12h8M8 16h4" {...line} />,
  done: <path d="M12 2a10 10 0 1 0 0 20 10 10 0 0 0 0-20m-1.4 14.6L6 12l1.8-1.8 2.8 2.8 5.8-6L18.2 9z" fill-rule="evenodd" {...solid} />,
  idle: <path d="M5 12h14" {...line} />,
  // Verdicts: a dot between brackets or beside them.
  inside: (
    <>
      {brackets}
      <circle cx="12" cy="12" r="3" {...solid} />
    </>
  ),
  outside: (
    <>
      <path d="M6 4H3v16h3M11 4h3v16h-3" {...line} />
      <circle cx="20.5" cy="12" r="3" {...solid} />
    </>
  ),
  // The ring lies across the bracket: nobody can say on which side.
  undecided: (
    <>
      <path d="M9 4H5v16h4M12 4h4v3.5M16 16.5V20h-4" {...line} />
      <circle cx="16" cy="12" r="3.8" {...line} />
    </>
  ),
  unjudged: <path d="M8 12h.01M12 12h.01M16 12h.01" {...line} />,
  // Something here can hurt somebody: a raised hand.
  mind: <path d="M7 21v-6L4 11.5l1.6-1.4L8 12V5h2v6h1V3h2v8h1V4h2v8h1V7h2v8l-3 6z" {...solid} />,
  bob,
  // A tablet with a plumb string on it.
  tablet: (
    <>
      <path d="M5 3h14v18H5z" {...line} />
      <path d="M12 6v6" {...line} />
      <path d="M9.5 11.5h5L12 17z" {...solid} />
    </>
  ),
  enlarge: <path d="M13 4h7v7M20 4l-7 7M11 20H4v-7M4 20l7-7" {...line} />,
  broken: <path d="M2 12h6M16 12h6M10 16l1-3M13 11l1-3" {...line} />,
};

/** A shape; the word beside it says the same, so it is hidden from screen readers. */
export function Shape({ name }: { name: ShapeName }) {
  return (
    <svg class={`shape shape-${name}`} viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      {DRAWN[name]}
    </svg>
  );
}
