// The lines above the measuring that a visit adds to the worksheet: which car, and is it ready.
import type { VisitView } from '../../contract/types';
import type { Line } from '../../state/steps';
import { texts } from '../../texts';
import { PrepareOpen } from './prepare';
import { VisitOpen } from './visit-line';
import { OneLine } from './one-line';
import { StageBar } from './stage-bar';
import { PrepareSummary, VisitSummary } from './summaries';

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
