// What the page makes of the findings: grouping and comparing, nothing measured anew.
import type { AngleView, FindingView, MountView, Optional, ScenarioView, TruthView } from '../contract/types';

export const ANGLES: readonly AngleView[] = ['caster', 'sai', 'included_angle', 'camber'];

export interface Sheet {
  run: number;
  findings: FindingView[];
}

/** Findings by run, newest run first; order inside a run is kept. */
export function sheets(findings: readonly FindingView[]): Sheet[] {
  const byRun = new Map<number, FindingView[]>();
  for (const finding of findings) {
    const run = byRun.get(finding.run);
    if (run) run.push(finding);
    else byRun.set(finding.run, [finding]);
  }
  return [...byRun].map(([run, of]) => ({ run, findings: of })).sort((a, b) => b.run - a.run);
}

export function findingOf(sheet: Sheet, mount: MountView, angle: AngleView): FindingView | undefined {
  return sheet.findings.findLast((finding) => finding.mount === mount && finding.angle === angle);
}

const ORDER: readonly MountView[] = ['front_left', 'front_right', 'rear_left', 'rear_right', 'body'];

/** Left before right, front before rear. */
export function inOrder<T extends { mount: MountView }>(items: readonly T[]): T[] {
  return [...items].sort((a, b) => ORDER.indexOf(a.mount) - ORDER.indexOf(b.mount));
}

export function mountsOf(sheet: Sheet): MountView[] {
  return ORDER.filter((mount) => sheet.findings.some((finding) => finding.mount === mount));
}

/** Rests that some finding of a run did without. */
export function leftOut(sheet: Sheet): number[] {
  return [...new Set(sheet.findings.flatMap(({ left_out }) => left_out))].sort((a, b) => a - b);
}

const TRUTH_FIELD: Record<AngleView, keyof Omit<TruthView, 'mount'>> = {
  camber: 'camber_deg',
  caster: 'caster_deg',
  sai: 'sai_deg',
  included_angle: 'included_deg',
};

export interface AgainstTruth {
  truth_deg: number;
  error_deg: number;
  inside: boolean;
}

/** How far a finding is from the simulated car's true angle, and whether its ± covers that. */
export function againstTruth(finding: FindingView, scenario: Optional<ScenarioView>): AgainstTruth | null {
  const truth = scenario?.wheels.find((wheel) => wheel.mount === finding.mount);
  if (!truth) return null;
  const truth_deg = truth[TRUTH_FIELD[finding.angle]];
  const error_deg = finding.value_deg - truth_deg;
  return { truth_deg, error_deg, inside: Math.abs(error_deg) <= finding.expanded_deg };
}
