// What is heard when the work moves on: which tone and which sentence for which change. Pure.
import type { LineName, StateView } from '../contract/types';
import { calibrationDeed } from '../state/calibration';
import { checkDeed, resultOf } from '../state/checks';
import { runOutDeed } from '../state/levelling';
import { deedOf, type Deed } from '../state/steps';
import type { ToneName } from './tones';

/** One procedure as it is heard. */
export interface Course {
  /** Which procedure, and of which wheel, board or line. */
  key: string;
  run: number;
  deed: Deed;
  say: string;
}

/** What is to be heard now. */
export interface Cue {
  tone: ToneName | null;
  say: string | null;
}

/** Sentences for what the daemon tells by its state alone. */
export interface FloorSentences {
  turnEdge: (line: LineName) => string;
  lineTaken: (line: LineName) => string;
  heightsTaken: string;
}

const LINES: readonly LineName[] = ['front', 'rear', 'left', 'right'];

function floorCourses({ levelling: { floor } }: StateView, words: FloorSentences): Course[] {
  const lines = LINES.map((line): Course => {
    const half = floor.half === line;
    const found = floor.lines.some((one) => one.line === line);
    return { key: `floor/${line}`, run: 0, deed: half ? 'move' : found ? 'done' : 'idle', say: half ? words.turnEdge(line) : words.lineTaken(line) };
  });
  return [...lines, { key: 'floor/heights', run: 0, deed: floor.by === 'heights' ? 'done' : 'idle', say: words.heightsTaken }];
}

/** Everything that can be under way, with what it says; what is heard first stands first. */
export function coursesOf(state: StateView, words: FloorSentences): Course[] {
  const { swing, check, boards, levelling } = state;
  const result = resultOf(state);
  const checked = check as typeof check | undefined; // a daemon without checks has none
  return [
    ...levelling.run_outs.map(({ mount, run, phase, say }): Course => ({ key: `run_out/${mount}`, run, deed: runOutDeed(phase), say })),
    ...(checked === undefined
      ? []
      : [{ key: 'check', run: checked.run, deed: checkDeed(checked.phase), say: checked.phase === 'done' && result ? result.say : checked.say }]),
    { key: 'swing', run: swing.run, deed: deedOf(swing.phase), say: swing.say },
    ...boards.flatMap(({ id, calibration: { procedure } }): Course[] =>
      procedure == null ? [] : [{ key: `bench/${id}`, run: procedure.run, deed: calibrationDeed(procedure.phase), say: procedure.result?.say ?? procedure.say }],
    ),
    ...floorCourses(state, words),
  ];
}

/** A deed that has a tone of its own; to rest is heard in words alone, the tone to hold follows it. */
const TONE: Partial<Record<Deed, ToneName>> = { hold: 'hold', move: 'move', read: 'read', done: 'done', refused: 'refused' };

const isOver = (deed: Deed): boolean => deed === 'done' || deed === 'refused';

function cueOf(before: Course | undefined, now: Course): Cue {
  const fresh = before === undefined || before.run !== now.run;
  // What was over before anybody listened is old news.
  if (now.deed === 'idle' || (before === undefined && isOver(now.deed))) return { tone: null, say: null };
  const turned = fresh || before.deed !== now.deed;
  const told = fresh || before.say !== now.say || (turned && isOver(now.deed));
  return { tone: turned ? (TONE[now.deed] ?? null) : null, say: told && (turned || !isOver(now.deed)) && now.say !== '' ? now.say : null };
}

/** Of tones at one moment only the weightiest is heard. */
const WEIGHT: readonly ToneName[] = ['refused', 'done', 'read', 'hold', 'move'];

/** What is to be heard between two states; `before` is null when nothing was known yet. */
export function cueBetween(before: readonly Course[] | null, now: readonly Course[]): Cue {
  const cues = now.map((course) => cueOf(before?.find(({ key }) => key === course.key), course));
  const sentences = [...new Set(cues.flatMap(({ say }) => (say === null ? [] : [say])))];
  return {
    tone: WEIGHT.find((tone) => cues.some((cue) => cue.tone === tone)) ?? null,
    say: sentences.length === 0 ? null : sentences.join(' '),
  };
}

/** The sentence that holds now: of what is under way. Null while nothing is. */
export function standing(courses: readonly Course[]): string | null {
  return courses.find(({ deed, say }) => deed !== 'idle' && !isOver(deed) && say !== '')?.say ?? null;
}

/** Was something under way that no longer is, and has nothing to tell? Then what is being spoken is cut short. */
export function isCutShort(before: readonly Course[] | null, now: readonly Course[]): boolean {
  const underWay = (courses: readonly Course[] | null) => courses !== null && standing(courses) !== null;
  return underWay(before) && !underWay(now) && cueBetween(before, now).say === null;
}
