// The worksheet below the live figures: it waits until they are painted.
import type { StateView } from '../contract/types';
import { checksNow, checksToStart, findingsNow, hasChecks, newestSheet, swingNow, swingToStart } from '../state/sections';
import type { Line } from '../state/steps';
import { visit } from '../state/visit';
import { texts } from '../texts';
import { CheckLine, CheckOpen } from './check/check-open';
import { FindingsLine, FindingsOpen } from './findings';
import { Live } from './live';
import { SheetLine } from './sheet-line';
import { SwingAgain, SwingStartForm } from './swing-start';
import { SwingSay } from './swing-say';
import { TracesOpen } from './traces/traces';
import { LinesAfter } from './visit/lines-after';

type Drawn<Name extends keyof StateView> = Pick<StateView, Name>;

const draw = {
  swingSay: ({ swing }: Drawn<'swing'>) => <SwingSay swing={swing} />,
  swingAgain: (state: Drawn<'swing' | 'boards' | 'levelling'>) => <SwingAgain state={state} />,
  swing: (state: Drawn<'swing' | 'boards' | 'levelling'>) => <SwingStartForm state={state} />,
  findings: (state: Drawn<'findings' | 'differences' | 'scenario' | 'swing' | 'curves'>) => <FindingsOpen state={state} />,
  checkLine: (state: Drawn<'check' | 'checked'>) => <CheckLine state={state} />,
  check: (state: Drawn<'check' | 'checked' | 'boards' | 'swing'>) => <CheckOpen state={state} />,
};

export function Below({ at }: { at: Line }) {
  const newest = newestSheet.value;
  // Without findings the swing stands open below the live figures: it is the next step.
  const swingOpen = at === 'swing' || (newest === undefined && at === 'camber');
  return (
    <>
      <SheetLine line="traces" title={texts.traces.title} summary={texts.traces.line} open={at === 'traces'} atHand={at === 'traces'}>
        {at === 'traces' && <TracesOpen />}
      </SheetLine>
      <SheetLine
        line="swing"
        title={texts.swing.title}
        summary={<Live of={swingNow} draw={draw.swingSay} />}
        action={swingOpen ? undefined : <Live of={swingToStart} draw={draw.swingAgain} />}
        open={swingOpen}
        atHand={at === 'swing'}
      >
        <Live of={swingToStart} draw={draw.swing} />
      </SheetLine>
      <SheetLine
        line="findings"
        title={texts.findings.title}
        summary={newest ? <FindingsLine sheet={newest} open={at === 'findings'} /> : texts.findings.none}
        open={at === 'findings' && newest !== undefined}
        atHand={at === 'findings'}
      >
        <Live of={findingsNow} draw={draw.findings} />
      </SheetLine>
      {hasChecks.value && (
        <SheetLine line="checks" title={texts.check.title} summary={<Live of={checksNow} draw={draw.checkLine} />} open={at === 'checks'} atHand={at === 'checks'}>
          {at === 'checks' && <Live of={checksToStart} draw={draw.check} />}
        </SheetLine>
      )}
      {visit.value !== null && <LinesAfter visit={visit.value} at={at} />}
    </>
  );
}
