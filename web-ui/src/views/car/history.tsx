// A car over its visits: for each quantity and place a small picture of what was found before and after.
import type { CarHistoryView, PastFigureView, Unit } from '../../contract/types';
import { HISTORY_BOX, historyPicture, seriesOf, type HistoryPicture, type Series } from '../../picture/history';
import { history, historyRefused } from '../../state/history';
import { dayOnly, expandedValue, short, value as inWords } from '../../state/shown';
import { panel } from '../../state/visit';
import { texts } from '../../texts';
import { Shape } from '../shapes';

function figureWords(when: string, figure: PastFigureView, unit: Unit): string {
  const words = texts.history.figure(when, inWords(figure.value, unit), expandedValue(figure.expanded, unit));
  return figure.verdict ? `${words} (${texts.table.verdict[figure.verdict]})` : words;
}

/** A visit of a series in words: "1 Apr 2026: before −1.32° ± 0.08° (outside), after …". */
function visitWords({ began_at, before, after }: Series['visits'][number], unit: Unit): string {
  const parts = [...(before ? [figureWords(texts.history.before, before, unit)] : []), ...(after ? [figureWords(texts.history.after, after, unit)] : [])];
  return `${dayOnly(began_at)}: ${parts.length === 0 ? texts.history.notFound : parts.join(', ')}`;
}

function Bar({ x_box, low_box, high_box }: { x_box: number; low_box: number; high_box: number }) {
  return <path class="past-bar" d={`M${x_box - 5} ${low_box}h10M${x_box} ${low_box}V${high_box}M${x_box - 5} ${high_box}h10`} />;
}

function Visit({ visit }: { visit: HistoryPicture['visits'][number] }) {
  const { x_box, before, after, low_box, high_box, half_box, began_at } = visit;
  return (
    <g>
      {low_box !== null && <path class="past-limit" d={`M${x_box - half_box} ${low_box - 9}v9H${x_box + half_box}v-9`} />}
      {high_box !== null && <path class="past-limit" d={`M${x_box - half_box} ${high_box + 9}v-9H${x_box + half_box}v9`} />}
      {before && (
        <>
          <Bar {...before} />
          <circle class="past-before" cx={before.x_box} cy={before.y_box} r="5.5" />
        </>
      )}
      {after && (
        <>
          <Bar {...after} />
          <path class="past-after" d={`M${after.x_box - 5.5} ${after.y_box - 9}h11l1.4 6-6.9 13-6.9-13z`} />
        </>
      )}
      <text x={x_box} y={HISTORY_BOX.height - HISTORY_BOX.bottom + 22} text-anchor="middle">
        {dayOnly(began_at)}
      </text>
    </g>
  );
}

function Multiple({ series }: { series: Series }) {
  const picture = historyPicture(series);
  if (picture === null) return null;
  const { width, height, left, right } = HISTORY_BOX;
  const last = series.visits.findLast(({ before, after }) => before !== null || after !== null);
  const title = `${series.name} ${series.placeWords}`;
  return (
    <figure class="past" data-testid={`past-${series.quantity}-${series.place}`} data-visits={series.visits.filter(({ before, after }) => before || after).length}>
      <figcaption>
        <b>{title}</b>
        {last && <span class="hint">{visitWords(last, series.unit)}</span>}
      </figcaption>
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={`${title}. ${series.visits.map((visit) => visitWords(visit, series.unit)).join('; ')}`}>
        {picture.up.map(({ at_box, value }) => (
          <g key={value}>
            <path class="trace-rule" d={`M${left} ${at_box}H${width - right}`} />
            <text x={left - 8} y={at_box + 6} text-anchor="end">
              {short(value)}
            </text>
          </g>
        ))}
        {picture.visits.map((visit) => (
          <Visit key={visit.x_box} visit={visit} />
        ))}
      </svg>
    </figure>
  );
}

function Told({ told }: { told: CarHistoryView }) {
  const series = seriesOf(told);
  if (told.visits.length === 0) return <p class="hint">{texts.history.none}</p>;
  if (series.length === 0) return <p class="hint">{texts.history.nothing}</p>;
  return (
    <>
      {told.visits.length === 1 && <p class="note">{texts.history.one}</p>}
      <p class="hint">
        {texts.history.legend}
        {told.older > 0 && ` ${texts.history.older(told.older)}`}
      </p>
      <div class="pasts">
        {series.map((one) => (
          <Multiple key={`${one.quantity} ${one.place}`} series={one} />
        ))}
      </div>
    </>
  );
}

export function CarHistory() {
  const told = history.value;
  const problem = historyRefused.value;
  return (
    <section class="history" data-testid="history" data-visits={told?.visits.length}>
      <header class="part-head">
        <h2>{told === null ? texts.history.open : texts.history.title(told.car)}</h2>
        <button type="button" class="quiet" data-testid="history-back" onClick={() => (panel.value = null)}>
          {texts.history.back}
        </button>
      </header>
      {problem !== null ? (
        <p class="note" role="alert">
          <Shape name="mind" /> {problem.title}. {problem.detail} {problem.remedy}
        </p>
      ) : told === null ? (
        <p class="hint">{texts.history.loading}</p>
      ) : (
        <Told told={told} />
      )}
    </section>
  );
}
