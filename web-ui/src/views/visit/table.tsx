// What was found in the visit: before beside after, each with its ±, its limits and its verdict.
import type { Limits, Optional, SideDifferenceView, Stage, Unit, VisitFindingView, VisitView } from '../../contract/types';
import { angle, angleSize, expandedAngle, expandedValue, signedNumber, value as inWords } from '../../state/shown';
import { columns, tableOf, tally, type TableGroup, type TableRow, type VerdictShape } from '../../state/verdict';
import { texts } from '../../texts';
import { Refusal } from '../refusal';
import { Runs } from './runs';
import { LimitStrip } from './strip';
import { Verdict } from './verdict';

function limitWords(limits: Optional<Limits>, unit: Unit): string {
  if (limits == null) return texts.table.noLimits;
  const text = (value: Optional<number>): string | null => (value == null ? null : inWords(value, unit));
  const target = text(limits.target);
  return [texts.table.limits(text(limits.low), text(limits.high)), target === null ? '' : texts.table.target(target)].filter((part) => part !== '').join(', ');
}

/** What would decide it, what makes up the ±, what is to be heeded: opened by who wants to know. */
function More({ finding }: { finding: VisitFindingView }) {
  const { verdict, advice, caveat, largest_contributor } = finding;
  const parts: [string, string][] = [
    ...(verdict ? [['', verdict.say] as [string, string]] : []),
    ...(largest_contributor === '' ? [] : [['', texts.table.largest(largest_contributor)] as [string, string]]),
    ...(advice === '' ? [] : [[texts.table.better, advice] as [string, string]]),
    ...(caveat === '' ? [] : [[texts.table.caveat, caveat] as [string, string]]),
  ];
  if (parts.length === 0) return null;
  return (
    <details class="more">
      <summary>{texts.table.details}</summary>
      {parts.map(([name, text]) => (
        <p key={name + text}>
          {name !== '' && <b>{name} </b>}
          {text}
        </p>
      ))}
    </details>
  );
}

function Found({ finding, place }: { finding: VisitFindingView | undefined; place: string }) {
  if (!finding) return <p class="missing-text hint">{texts.table.notYet}</p>;
  const { value, expanded, unit, sense, limits, verdict } = finding;
  return (
    <div class="found" data-testid={`found-${finding.quantity}-${place}-${finding.stage}`} data-value={value} data-expanded={expanded} data-number={finding.number}>
      <div class="found-in">
        <p class="found-figure">{inWords(value, unit)}</p>
        <p class="found-words">
          <span class="interval">{texts.findings.interval(expandedValue(expanded, unit))}</span> {sense !== '' && <span class="sense">{sense}</span>}
        </p>
        {finding.also.length > 0 && <p class="hint">{finding.also.join(', ')}</p>}
        <div class="judged">
          <Verdict verdict={verdict} testid={`verdict-${finding.quantity}-${place}-${finding.stage}`} />
          {limits != null && <LimitStrip value={value} expanded={expanded} limits={limits} />}
        </div>
        {verdict?.verdict === 'undecided' && verdict.would_decide !== '' && (
          <p class="would-decide">
            <b>{texts.table.decide}</b> {verdict.would_decide}
          </p>
        )}
        <More finding={finding} />
      </div>
    </div>
  );
}

function Row({ row, shown }: { row: TableRow; shown: readonly Stage[] }) {
  const unit = Object.values(row.found)[0]?.unit ?? 'deg';
  return (
    <div class="table-row">
      <div class="table-place">
        <b>{row.placeWords}</b>
        <span class="hint">{limitWords(row.limits, unit)}</span>
      </div>
      {shown.map((stage) => (
        <Found key={stage} finding={row.found[stage]} place={row.place} />
      ))}
    </div>
  );
}

function Difference({ difference }: { difference: SideDifferenceView }) {
  const { value_deg, expanded_deg, most_deg, verdict, correlation, stage, quantity, front } = difference;
  return (
    <p class="side-difference" data-testid={`side-${quantity}-${front ? 'front' : 'rear'}-${stage}`}>
      <span class="hint">
        {front ? texts.table.front : texts.table.rear}, {texts.visit.stage[stage]}
      </span>
      <span>{texts.table.difference}</span>
      <b>{angle(value_deg)}</b>
      <span class="interval">{texts.findings.interval(expandedAngle(expanded_deg))}</span>
      {most_deg != null && <span class="hint">{texts.table.most(angleSize(most_deg))}</span>}
      {verdict != null && <Verdict verdict={verdict} />}
      <span class="hint">{texts.table.correlation(signedNumber(correlation, 2))}</span>
    </p>
  );
}

function Group({ group, shown }: { group: TableGroup; shown: readonly Stage[] }) {
  return (
    <section class="table-group" data-testid={`table-${group.quantity}`}>
      <header class="table-head" style={{ '--columns': shown.length }}>
        <h3>{group.name}</h3>
        {shown.map((stage) => (
          <p key={stage} class="hint">
            {texts.visit.stage[stage]}
          </p>
        ))}
      </header>
      {group.rows.map((row) => (
        <Row key={row.place} row={row} shown={shown} />
      ))}
      {group.differences.map((difference) => (
        <Difference key={`${difference.stage}-${difference.front}`} difference={difference} />
      ))}
    </section>
  );
}

const WORDS: readonly VerdictShape[] = ['inside', 'outside', 'undecided', 'unjudged'];

export function TableSummary({ visit }: { visit: VisitView }) {
  const last = columns(visit).at(-1);
  if (last === undefined) return <span>{texts.table.none}</span>;
  const counted = tally(visit, last);
  return (
    <span class="camber-line" data-testid="table-line">
      <span>{texts.visit.stage[last]}:</span>
      {WORDS.filter((word) => counted[word] > 0).map((word) => (
        <span key={word} class="camber-item">
          {texts.table.tally(counted[word], texts.table.verdict[word])}
        </span>
      ))}
    </span>
  );
}

export function TableOpen({ visit }: { visit: VisitView }) {
  const shown = columns(visit);
  return (
    <div class="visit-table" style={{ '--columns': Math.max(1, shown.length) }} data-testid="visit-table">
      {shown.length === 0 && <p class="hint">{texts.table.none}</p>}
      {tableOf(visit).map((group) => (
        <Group key={group.quantity} group={group} shown={shown} />
      ))}
      <Refusal by="table" />
      <Runs visit={visit} />
    </div>
  );
}
