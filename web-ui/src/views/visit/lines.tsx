// The lines of the worksheet that a visit adds to it.
import type { ComponentChildren } from 'preact';
import type { VisitView } from '../../contract/types';
import { short } from '../../state/shown';
import type { Line } from '../../state/steps';
import { texts } from '../../texts';
import { SheetLine } from '../sheet-line';
import { ClosingOpen } from './closing';
import { FiguresOpen } from './figures';
import { MeaningOpen, MeaningSummary } from './meaning';
import { PrepareOpen, PrepareSummary } from './prepare';
import { StageBar } from './stage-bar';
import { TableOpen, TableSummary } from './table';
import { VisitOpen, VisitSummary } from './visit-line';
import { WorkOpen, WorkSummary } from './work';

interface LineProps {
  line: Line;
  title: string;
  at: Line;
  summary?: ComponentChildren;
  children: ComponentChildren;
}

function OneLine({ line, title, at, summary, children }: LineProps) {
  return (
    <SheetLine line={line} title={title} summary={summary} open={at === line} atHand={at === line}>
      {at === line && children}
    </SheetLine>
  );
}

/** Above the measuring: which car, and is it ready. */
export function LinesBefore({ visit, at }: { visit: VisitView | null; at: Line }) {
  return (
    <>
      <OneLine line="visit" title={texts.visit.title} at={at} summary={<VisitSummary visit={visit} />}>
        <VisitOpen visit={visit} />
      </OneLine>
      {visit !== null && <StageBar visit={visit} />}
      {visit !== null && (
        <OneLine line="prepare" title={texts.prepare.title} at={at} summary={<PrepareSummary visit={visit} />}>
          <PrepareOpen visit={visit} />
        </OneLine>
      )}
    </>
  );
}

const flange = (visit: VisitView, axle: 'front' | 'rear'): string => {
  const value = visit.car[axle]?.rim_flange_mm;
  return value == null ? '' : short(value);
};

/** Below the measuring: figures by hand, the table, what it means, the work, the sheet. */
export function LinesAfter({ visit, at }: { visit: VisitView; at: Line }) {
  return (
    <>
      {visit.stage !== 'closed' && (
        <OneLine line="figures" title={texts.entered.title} at={at} summary={texts.entered.line}>
          <FiguresOpen flange_mm={{ front: flange(visit, 'front'), rear: flange(visit, 'rear') }} />
        </OneLine>
      )}
      <OneLine line="table" title={texts.table.title} at={at} summary={<TableSummary visit={visit} />}>
        <TableOpen visit={visit} />
      </OneLine>
      <OneLine line="meaning" title={texts.meaning.title} at={at} summary={<MeaningSummary visit={visit} />}>
        <MeaningOpen visit={visit} />
      </OneLine>
      {visit.stage !== 'closed' && (
        <OneLine line="adjust" title={texts.work.title} at={at} summary={<WorkSummary visit={visit} />}>
          <WorkOpen visit={visit} />
        </OneLine>
      )}
      <OneLine line="sheet" title={texts.closing.title} at={at} summary={texts.visit.line(visit.car.name, texts.visit.stage[visit.stage])}>
        <ClosingOpen visit={visit} />
      </OneLine>
    </>
  );
}
