// The lines below the measuring that a visit adds: figures by hand, the table, what it means, the work, the sheet.
import type { VisitView } from '../../contract/types';
import { short } from '../../state/shown';
import type { Line } from '../../state/steps';
import { texts } from '../../texts';
import { ClosingOpen } from './closing';
import { FiguresOpen } from './figures';
import { MeaningOpen, MeaningSummary } from './meaning';
import { OneLine } from './one-line';
import { TableOpen, TableSummary } from './table';
import { WorkOpen, WorkSummary } from './work';

const flange = (visit: VisitView, axle: 'front' | 'rear'): string => {
  const value = visit.car[axle]?.rim_flange_mm;
  return value == null ? '' : short(value);
};

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
