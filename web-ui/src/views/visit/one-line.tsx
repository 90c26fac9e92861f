// A line of the worksheet that a visit adds: open only while it is at hand.
import type { ComponentChildren } from 'preact';
import type { Line } from '../../state/steps';
import { SheetLine } from '../sheet-line';

interface LineProps {
  line: Line;
  title: string;
  at: Line;
  summary?: ComponentChildren;
  children: ComponentChildren;
}

export function OneLine({ line, title, at, summary, children }: LineProps) {
  return (
    <SheetLine line={line} title={title} summary={summary} open={at === line} atHand={at === line}>
      {at === line && children}
    </SheetLine>
  );
}
