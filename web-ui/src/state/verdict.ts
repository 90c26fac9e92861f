// What the page makes of a visit's findings: rows for the table, shapes for verdicts. Nothing is judged anew.
import type { Limits, Optional, Place, Quantity, SideDifferenceView, Stage, VerdictView, VisitFindingView, VisitView } from '../contract/types';

/** The shape of a verdict; without one there is none. */
export type VerdictShape = 'inside' | 'outside' | 'undecided' | 'unjudged';

export function verdictShape(verdict: Optional<Pick<VerdictView, 'verdict'>>): VerdictShape {
  return verdict?.verdict ?? 'unjudged';
}

/** One line of the table: one quantity at one place, with what was found at each stage. */
export interface TableRow {
  place: Place;
  placeWords: string;
  limits: Optional<Limits>;
  found: Partial<Record<Stage, VisitFindingView>>;
}

export interface TableGroup {
  quantity: Quantity;
  name: string;
  rows: TableRow[];
  differences: SideDifferenceView[];
}

export const STAGES: readonly Stage[] = ['preparing', 'before', 'adjusting', 'after', 'closed'];

/** Stages that have a column: those in which something was found. */
export function columns(visit: VisitView): Stage[] {
  return STAGES.filter((stage) => visit.findings.some((finding) => finding.stage === stage));
}

/** The findings by quantity and place, in the order in which the daemon tells them. */
export function tableOf(visit: VisitView): TableGroup[] {
  const groups = new Map<Quantity, TableGroup>();
  const rows = new Map<string, TableRow>();
  for (const finding of visit.findings) {
    let group = groups.get(finding.quantity);
    if (!group) {
      group = { quantity: finding.quantity, name: finding.name, rows: [], differences: [] };
      groups.set(finding.quantity, group);
    }
    const key = `${finding.quantity} ${finding.place}`;
    let row = rows.get(key);
    if (!row) {
      row = { place: finding.place, placeWords: finding.place_words, limits: finding.limits, found: {} };
      rows.set(key, row);
      group.rows.push(row);
    }
    row.found[finding.stage] = finding;
    row.limits ??= finding.limits;
  }
  for (const difference of visit.differences) groups.get(difference.quantity)?.differences.push(difference);
  return [...groups.values()];
}

/** How many findings of a stage stand in each shape. */
export function tally(visit: VisitView, stage: Stage): Record<VerdictShape, number> {
  const counted: Record<VerdictShape, number> = { inside: 0, outside: 0, undecided: 0, unjudged: 0 };
  for (const finding of visit.findings) if (finding.stage === stage) counted[verdictShape(finding.verdict)] += 1;
  return counted;
}

/** Where a value, its interval and its limits stand on a strip, as shares from left to right. */
export interface Strip {
  value: number;
  from: number;
  to: number;
  low: number | null;
  high: number | null;
  target: number | null;
}

/** Room beside what is drawn, as a share of its width. */
const MARGIN = 0.12;

export function stripOf(value: number, expanded: number, limits: Limits): Strip | null {
  const { low = null, high = null, target = null } = limits;
  const marks = [value - expanded, value + expanded, low, high, target].filter((mark): mark is number => mark !== null && Number.isFinite(mark));
  const least = Math.min(...marks);
  const width = Math.max(...marks) - least;
  if (!(width > 0)) return null;
  const place = (mark: number): number => MARGIN + ((mark - least) / width) * (1 - 2 * MARGIN);
  const maybe = (mark: number | null): number | null => (mark === null ? null : place(mark));
  return { value: place(value), from: place(value - expanded), to: place(value + expanded), low: maybe(low), high: maybe(high), target: maybe(target) };
}
