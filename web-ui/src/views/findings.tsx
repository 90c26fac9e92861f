// What the swing found: each angle with its ±, its cross-check and what limits it.
import type { AngleView, FindingView, Optional, Place, ScenarioView, StateView } from '../contract/types';
import { factorFor, type Factor } from '../picture/plumb';
import { againstTruth, ANGLES, findingOf, leftOut, mountsOf, sheets, type Sheet } from '../state/findings';
import { differenceOf } from '../state/levelling';
import { angle as inWords, expandedAngle, percent, signedNumber } from '../state/shown';
import { texts } from '../texts';
import { EarlierRuns } from './earlier-runs';
import { Figure } from './figure';
import { Plumb } from './plumb';
import { LimitNote } from './limit-note';
import { found, SwingTrace } from './swing-trace';
import { Shape } from './shapes';

function Truth({ finding, scenario }: { finding: FindingView; scenario: Optional<ScenarioView> }) {
  const compared = againstTruth(finding, scenario);
  if (!compared) return null;
  const { truth_deg, error_deg, inside } = compared;
  return (
    <p class="truth" data-testid={`truth-${finding.mount}-${finding.angle}`} data-truth-deg={truth_deg} data-inside={inside}>
      <span>{texts.findings.truth(inWords(truth_deg))}</span>
      <span>{texts.findings.error(inWords(error_deg, 3))}</span>
      <b>
        <Shape name={inside ? 'inside' : 'outside'} />
        {inside ? texts.findings.inside : texts.findings.outside}
      </b>
    </p>
  );
}

interface FindingProps {
  finding: FindingView;
  factor: Factor;
  /** The largest of the row, so that all of it is set in one size. */
  room_deg: number;
  scenario: Optional<ScenarioView>;
}

function Finding({ finding, factor, room_deg, scenario }: FindingProps) {
  const two_deg = finding.two_reading_deg;
  return (
    <article
      class="finding"
      data-testid={`finding-${finding.mount}-${finding.angle}`}
      data-value-deg={finding.value_deg}
      data-expanded-deg={finding.expanded_deg}
    >
      <h4>{texts.mounts[finding.mount]}</h4>
      <p class="finding-figure">
        <Figure value_deg={finding.value_deg} decimals={2} room_deg={room_deg} />
      </p>
      <div class="finding-words">
        <p class="interval">{texts.findings.interval(expandedAngle(finding.expanded_deg))}</p>
        <p class="sense">{finding.sense}</p>
        {two_deg != null && (
          <p class="two-reading">
            {texts.findings.twoReading(inWords(two_deg))}, {texts.findings.apart(inWords(two_deg - finding.value_deg))}
          </p>
        )}
      </div>
      {/* The included angle stands between two leaning lines: there is no vertical to draw it against. */}
      {finding.angle !== 'included_angle' && <Plumb angle={finding.angle} mount={finding.mount} measured={finding} factor={factor} />}
      <LimitNote quantity={finding.angle} place={finding.mount as Place} value_deg={finding.value_deg} expanded_deg={finding.expanded_deg} />
      <Truth finding={finding} scenario={scenario} />
      <p class="advice">
        {texts.findings.largest(finding.largest_contributor, percent(finding.largest_share))} {finding.advice}
      </p>
    </article>
  );
}

function Angle({ angle, sheet, state }: { angle: AngleView; sheet: Sheet; state: Pick<StateView, 'findings' | 'differences' | 'scenario' | 'swing' | 'curves'> }) {
  const { scenario } = state;
  const shown = mountsOf(sheet).flatMap((mount) => findingOf(sheet, mount, angle) ?? []);
  if (shown.length === 0) return null;
  const factor = factorFor(shown.map((finding) => finding.value_deg));
  const room_deg = Math.max(...shown.map((finding) => Math.abs(finding.value_deg)));
  const apart = differenceOf(state, sheet.run, angle);
  return (
    <section class={`angle angle-${angle}`}>
      <header class="angle-head">
        <h3>
          {texts.findings.angle[angle].name} <span>{texts.findings.angle[angle].plain}</span>
        </h3>
        {apart && (
          <p class="difference" data-testid={`difference-${angle}`} data-value-deg={apart.value_deg} data-expanded-deg={apart.expanded_deg}>
            <span>{texts.findings.difference}</span>
            <b>{inWords(apart.value_deg)}</b>
            <span>{texts.findings.interval(expandedAngle(apart.expanded_deg))}</span>
            <span>{texts.findings.shared(signedNumber(apart.correlation, 2))}</span>
          </p>
        )}
      </header>
      <div class="angle-row">
        {shown.map((finding) => (
          <Finding key={finding.mount} finding={finding} factor={factor} room_deg={room_deg} scenario={scenario} />
        ))}
      </div>
    </section>
  );
}

export function FindingsLine({ sheet, open }: { sheet: Sheet; open: boolean }) {
  if (open) return <span>{`${texts.findings.run(sheet.run)} · ${texts.findings.intervalNote}`}</span>;
  return (
    <span class="camber-line">
      {mountsOf(sheet).map((mount) => (
        <span key={mount} class="camber-item">
          {texts.mounts[mount]}
          {(['caster', 'sai'] as const).map((angle) => {
            const finding = findingOf(sheet, mount, angle);
            return finding ? <b key={angle}> {texts.findings.line(texts.findings.angle[angle].name, inWords(finding.value_deg))}</b> : null;
          })}
        </span>
      ))}
    </span>
  );
}

export function FindingsOpen({ state }: { state: Pick<StateView, 'findings' | 'differences' | 'scenario' | 'swing' | 'curves'> }) {
  const [newest, ...earlier] = sheets(state.findings);
  if (!newest) return <p class="hint">{texts.findings.none}</p>;
  return (
    <div class="findings">
      {state.swing.run === newest.run && state.swing.notes.map((note) => <p class="note" key={note} data-testid="swing-note">{note}</p>)}
      {state.swing.run === newest.run && state.swing.body.state !== 'none' && (
        <p class={state.swing.body.state === 'given_up' ? 'note' : 'about'} data-testid="body-watch" data-state={state.swing.body.state}>
          {state.swing.body.text}
        </p>
      )}
      {leftOut(newest).length > 0 && (
        <p class="note" data-testid="left-out">
          {texts.findings.leftOut(leftOut(newest))}
        </p>
      )}
      {ANGLES.map((angle) => (
        <Angle key={angle} angle={angle} sheet={newest} state={state} />
      ))}
      {found(state.curves, newest.run).length > 0 && <SwingTrace wheels={found(state.curves, newest.run)} legend />}
      {earlier.length > 0 && <EarlierRuns sheets={earlier} />}
    </div>
  );
}
