// The page: the head, and under it the worksheet or, while a swing is under way, its stage.
import type { CheckView, StateView } from '../contract/types';
import { daemon, link, openByHand, openLine, problem, putProblemAway, runOutOnStage, swingOnStage } from '../state';
import { benchOnStage } from '../state/calibrating';
import { checkOnStage } from '../state/checking';
import { panel, stepOnStage, visit } from '../state/visit';
import { sheets } from '../state/findings';
import { texts } from '../texts';
import { BoardFacts, BoardsStrip } from './boards';
import { CalibrationStage } from './calibration-stage';
import { CamberLine, CamberOpen } from './camber';
import { CarForm } from './car/form';
import { CarImport } from './car/import';
import { CheckLine, CheckOpen } from './check/check-open';
import { CheckStage } from './check/check-stage';
import { FindingsLine, FindingsOpen } from './findings';
import { FloorLine, FloorOpen } from './floor';
import { Head } from './head';
import { RunOutLine, RunOutOpen } from './run-out';
import { RunOutStage } from './run-out-stage';
import { SheetLine } from './sheet-line';
import { Stage } from './stage';
import { SwingAgain, SwingStartForm } from './swing-start';
import { SwingSay } from './swing-say';
import { LinesAfter, LinesBefore } from './visit/lines';
import { WorkStage } from './visit/work-stage';

function Problem() {
  const shown = problem.value;
  if (!shown) return null;
  return (
    <div class="problem" role="alert" data-testid="problem" data-code={shown.code}>
      <p>
        <b>{shown.title}.</b> {shown.detail}
      </p>
      <p>{shown.remedy}</p>
      <button type="button" class="quiet" onClick={putProblemAway} aria-label={texts.problem.close}>
        ✕
      </button>
    </div>
  );
}

function Boards({ state, open }: { state: StateView; open: boolean }) {
  const { boards } = state;
  // In trouble the strip needs the width of the page; otherwise it fits beside the title.
  const troubled = boards.length === 0 || boards.some((board) => board.trouble != null);
  const strip = <BoardsStrip boards={boards} brief={false} />;
  return (
    <SheetLine
      line="boards"
      title={texts.boards.title}
      summary={troubled ? undefined : strip}
      action={
        <button
          type="button"
          class="quiet"
          aria-expanded={open}
          onClick={() => openByHand(open ? 'camber' : 'boards')}
          data-testid="boards-details"
        >
          {texts.boards.details}
        </button>
      }
      open={open || troubled}
      atHand={open}
    >
      {troubled && strip}
      {open && boards.map((board) => <BoardFacts key={board.id} board={board} />)}
    </SheetLine>
  );
}

function Worksheet({ state }: { state: StateView }) {
  const at = openLine.value;
  const newest = sheets(state.findings)[0];
  // Without findings the swing stands open below the live figures: it is the next step.
  const swingOpen = at === 'swing' || (newest === undefined && at === 'camber');
  return (
    <>
      <LinesBefore visit={visit.value} at={at} />
      <Boards state={state} open={at === 'boards'} />
      <SheetLine
        line="floor"
        title={texts.floor.title}
        summary={<FloorLine floor={state.levelling.floor} />}
        open={at === 'floor'}
        atHand={at === 'floor'}
      >
        <FloorOpen state={state} />
      </SheetLine>
      <SheetLine
        line="run_out"
        title={texts.runOut.title}
        summary={<RunOutLine state={state} />}
        open={at === 'run_out'}
        atHand={at === 'run_out'}
      >
        <RunOutOpen state={state} />
      </SheetLine>
      <SheetLine
        line="camber"
        title={texts.camber.title}
        summary={at === 'camber' ? undefined : <CamberLine wheels={state.wheels} />}
        open={at === 'camber'}
        atHand={at === 'camber'}
      >
        <CamberOpen wheels={state.wheels} />
      </SheetLine>
      <SheetLine
        line="swing"
        title={texts.swing.title}
        summary={<SwingSay swing={state.swing} />}
        action={swingOpen ? undefined : <SwingAgain state={state} />}
        open={swingOpen}
        atHand={at === 'swing'}
      >
        <SwingStartForm state={state} />
      </SheetLine>
      <SheetLine
        line="findings"
        title={texts.findings.title}
        summary={newest ? <FindingsLine sheet={newest} open={at === 'findings'} /> : texts.findings.none}
        open={at === 'findings' && newest !== undefined}
        atHand={at === 'findings'}
      >
        <FindingsOpen state={state} />
      </SheetLine>
      {(state.check as CheckView | undefined) !== undefined && (
        <SheetLine line="checks" title={texts.check.title} summary={<CheckLine state={state} />} open={at === 'checks'} atHand={at === 'checks'}>
          {at === 'checks' && <CheckOpen state={state} />}
        </SheetLine>
      )}
      {visit.value !== null && <LinesAfter visit={visit.value} at={at} />}
    </>
  );
}

/** What lies over the worksheet because somebody opened it. */
function Panel({ state }: { state: StateView }) {
  const shown = panel.value;
  const step = stepOnStage.value;
  if (shown?.kind === 'car') return <CarForm id={shown.id} />;
  if (shown?.kind === 'import') return <CarImport />;
  if (step !== null && visit.value !== null) return <WorkStage state={state} visit={visit.value} step={step} />;
  return <Worksheet state={state} />;
}

export function Page() {
  const state = daemon.value;
  const bench = benchOnStage.value;
  const check = checkOnStage.value;
  const staged = swingOnStage.value || runOutOnStage.value || check !== null || bench !== null || stepOnStage.value !== null;
  return (
    <>
      <Head />
      <Problem />
      <main class={`sheet sheet-${link.value}${staged ? ' sheet-stage' : ''}`}>
        {state === null ? (
          <p class="hint">{texts.head.connecting} …</p>
        ) : swingOnStage.value ? (
          <Stage state={state} />
        ) : runOutOnStage.value ? (
          <RunOutStage state={state} />
        ) : check !== null ? (
          <CheckStage state={state} check={check} />
        ) : bench !== null ? (
          <CalibrationStage on={bench} />
        ) : (
          <Panel state={state} />
        )}
      </main>
    </>
  );
}
