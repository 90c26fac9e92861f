// The page: the head, and under it the worksheet or, while a swing is under way, its stage.
import type { MountView, StateView, VisitView, WorkStepView } from '../contract/types';
import { daemon, link, openByHand, openLine, problem, putProblemAway } from '../state';
import { benchOnStage } from '../state/calibrating';
import { checkOnStage } from '../state/checking';
import { boardsNow, boardsTroubled, noBoards, practiceNow, levellingAndBoards, levellingNow, told, wheelsNow } from '../state/sections';
import { onStage } from '../state/staged';
import { reachOpen, sendingAgain } from '../state/reach';
import { panel, stepOnStage, visit } from '../state/visit';
import { openFirstRun } from '../state/placing';
import { texts } from '../texts';
import { AwakeNote } from './awake-note';
import { BoardsStrip } from './boards';
import { CamberLine, CamberOpen } from './camber';
import { FloorLine } from './floor-line';
import { FoundBefore } from './found-before';
import { Head } from './head';
import { Below } from './below';
import { BoardsFacts } from './board-facts';
import { CalibrationStage } from './calibration-stage';
import { CarForm } from './car/form';
import { CarHistory } from './car/history';
import { CarImport } from './car/import';
import { CheckStage } from './check/check-stage';
import { FirstRun } from './first-run/first-run';
import { FloorOpen } from './floor';
import { ReachPanel } from './reach-panel';
import { RunOutOpen } from './run-out';
import { RunOutStage } from './run-out-stage';
import { Stage } from './stage';
import { WorkStage } from './visit/work-stage';
import { LimitNote } from './limit-note';
import { Live } from './live';
import { PairCode } from './pair-code';
import { PracticeBanner } from './practice-banner';
import { RunOutLine } from './run-out-line';
import { Shape } from './shapes';
import { SheetLine } from './sheet-line';
import { LinesBefore } from './visit/lines';

function Problem() {
  const shown = problem.value;
  if (!shown) return null;
  return (
    <div class="problem" role="alert" data-testid="problem" data-code={shown.code}>
      <p>
        <b>{shown.title}.</b> {shown.detail}
      </p>
      <p>{shown.remedy}</p>
      <PairCode of={shown.code} />
      <button type="button" class="quiet" onClick={putProblemAway} aria-label={texts.problem.close}>
        ✕
      </button>
    </div>
  );
}

const strip = ({ boards }: Pick<StateView, 'boards'>) => <BoardsStrip boards={boards} brief={false} />;
const facts = ({ boards }: Pick<StateView, 'boards'>) => <BoardsFacts boards={boards} />;

function Boards({ open }: { open: boolean }) {
  // In trouble the strip needs the width of the page; otherwise it fits beside the title.
  const troubled = boardsTroubled.value;
  return (
    <SheetLine
      line="boards"
      title={texts.boards.title}
      summary={troubled ? undefined : <Live of={boardsNow} draw={strip} />}
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
      {troubled && <Live of={boardsNow} draw={strip} />}
      {(open || noBoards.value) && (
        <button type="button" class="deed-button" onClick={openFirstRun} data-testid="place-boards">
          {texts.firstRun.place}
        </button>
      )}
      {open && <Live of={boardsNow} draw={facts} />}
    </SheetLine>
  );
}

const limits = (mount: MountView, { value_deg, expanded_deg }: { value_deg: number; expanded_deg: number }) =>
  mount !== 'body' && <LimitNote quantity="camber" place={mount} value_deg={value_deg} expanded_deg={expanded_deg} />;

type Drawn<Name extends keyof StateView> = Pick<StateView, Name>;

/** Lines and bodies of the worksheet, each of the part of the state that it shows. */
const draw = {
  floorLine: ({ levelling }: Drawn<'levelling'>) => <FloorLine floor={levelling.floor} />,
  floor: (state: Drawn<'levelling' | 'boards'>) => <FloorOpen state={state} />,
  runOutLine: (state: Drawn<'levelling'>) => <RunOutLine state={state} />,
  runOut: (state: Drawn<'levelling' | 'boards'>) => <RunOutOpen state={state} />,
  camberLine: ({ wheels }: Drawn<'wheels'>) => <CamberLine wheels={wheels} />,
  camber: ({ wheels }: Drawn<'wheels'>) => <CamberOpen wheels={wheels} note={limits} />,
  foundBefore: (state: Drawn<'levelling'>) => <FoundBefore state={state} />,
  practice: (state: Drawn<'setup'>) => <PracticeBanner state={state} />,
};

function Worksheet() {
  const at = openLine.value;
  return (
    <>
      <LinesBefore visit={visit.value} at={at} />
      <Boards open={at === 'boards'} />
      <SheetLine
        line="floor"
        title={texts.floor.title}
        summary={<Live of={levellingNow} draw={draw.floorLine} />}
        open={at === 'floor'}
        atHand={at === 'floor'}
      >
        <Live of={levellingAndBoards} draw={draw.floor} />
      </SheetLine>
      <SheetLine
        line="run_out"
        title={texts.runOut.title}
        summary={<Live of={levellingNow} draw={draw.runOutLine} />}
        open={at === 'run_out'}
        atHand={at === 'run_out'}
      >
        <Live of={levellingAndBoards} draw={draw.runOut} />
      </SheetLine>
      <SheetLine
        line="camber"
        title={texts.camber.title}
        summary={at === 'camber' ? undefined : <Live of={wheelsNow} draw={draw.camberLine} />}
        open={at === 'camber'}
        atHand={at === 'camber'}
      >
        <Live of={wheelsNow} draw={draw.camber} />
      </SheetLine>
      <Below at={at} />
    </>
  );
}

/** What lies over the worksheet because somebody opened it. */
function Panel() {
  const shown = panel.value;
  const step = stepOnStage.value;
  if (shown?.kind === 'car') return <CarForm id={shown.id} />;
  if (shown?.kind === 'import') return <CarImport />;
  if (shown?.kind === 'history') return <CarHistory />;
  if (step !== null && visit.value !== null) return <LiveWork visit={visit.value} step={step} />;
  return <Worksheet />;
}

/** Stages show nearly all of the state, so each follows all of it; the page around them does not. */
function LiveWork(on: { visit: VisitView; step: WorkStepView }) {
  const state = daemon.value;
  return state && <WorkStage state={state} {...on} />;
}

function LiveSwing() {
  const state = daemon.value;
  return state && <Stage state={state} />;
}

function LiveRunOut() {
  const state = daemon.value;
  return state && <RunOutStage state={state} />;
}

function LiveCheck() {
  const state = daemon.value;
  const check = checkOnStage.value;
  return state && check && <CheckStage state={state} check={check} />;
}

function LiveFirstRun() {
  const state = daemon.value;
  return state && <FirstRun state={state} />;
}

function LiveBench() {
  const bench = benchOnStage.value;
  return bench && <CalibrationStage on={bench} />;
}

/** The page without a word from the daemon yet. */
function Alone() {
  if (link.value !== 'lost') return <p class="hint">{texts.head.connecting} …</p>;
  const { title, detail, remedy } = texts.reach.noDaemon;
  return (
    <section class="alone" data-testid="alone">
      <h2>{title}</h2>
      <p>{detail}</p>
      <p>{remedy}</p>
    </section>
  );
}

export function Page() {
  const on = onStage.value;
  return (
    <>
      <Head />
      <Problem />
      {sendingAgain.value > 0 && (
        <p class="sending-again" role="status" data-testid="again">
          <Shape name="listening" />
          {texts.reach.sendingAgainAbout}
        </p>
      )}
      <Live of={practiceNow} draw={draw.practice} />
      {on === null && <Live of={levellingNow} draw={draw.foundBefore} />}
      {reachOpen.value && <ReachPanel />}
      <main hidden={reachOpen.value} class={`sheet sheet-${link.value}${on !== null ? ' sheet-stage' : ''}`}>
        {on !== null && <AwakeNote />}
        {!told.value ? (
          <Alone />
        ) : on === 'swing' ? (
          <LiveSwing />
        ) : on === 'run_out' ? (
          <LiveRunOut />
        ) : on === 'check' ? (
          <LiveCheck />
        ) : on === 'bench' ? (
          <LiveBench />
        ) : on === 'first_run' ? (
          <LiveFirstRun />
        ) : (
          <Panel />
        )}
      </main>
    </>
  );
}
