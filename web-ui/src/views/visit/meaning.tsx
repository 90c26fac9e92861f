// What the findings may mean. Candidates with evidence and a next check; never the look of a verdict.
import type { CandidateView, VisitView } from '../../contract/types';
import { texts } from '../../texts';
import { Shape } from '../shapes';

function Plain({ title, items }: { title: string; items: readonly string[] }) {
  if (items.length === 0) return null;
  return (
    <section class="plain-list">
      <h3>{title}</h3>
      <ul>
        {items.map((item) => (
          <li key={item}>{item}</li>
        ))}
      </ul>
    </section>
  );
}

function Candidate({ candidate }: { candidate: CandidateView }) {
  const { code, place, title, fit, evidence, next } = candidate;
  return (
    <li class="candidate" data-testid={`candidate-${code}-${place}`}>
      <h4>
        {title} <span class="fit">{fit}</span>
      </h4>
      <div class="candidate-parts">
        <div>
          <h5>{texts.meaning.evidence}</h5>
          <ul>
            {evidence.map((one) => (
              <li key={one}>{one}</li>
            ))}
          </ul>
        </div>
        <div>
          <h5>{texts.meaning.next}</h5>
          <p>{next}</p>
        </div>
      </div>
    </li>
  );
}

export function MeaningSummary({ visit }: { visit: VisitView }) {
  const { candidates, rule_out_first } = visit.meaning;
  return <span>{candidates.length === 0 && rule_out_first.length === 0 ? texts.meaning.none : texts.meaning.line(candidates.length)}</span>;
}

export function MeaningOpen({ visit }: { visit: VisitView }) {
  const { rule_out_first, candidates, heed } = visit.meaning;
  if (rule_out_first.length === 0 && candidates.length === 0 && heed.length === 0) return <p class="hint">{texts.meaning.none}</p>;
  return (
    <div class="meaning" data-testid="meaning">
      <p class="about">{texts.meaning.about}</p>
      <Plain title={texts.meaning.first} items={rule_out_first} />
      <ol class="candidates">
        {candidates.map((candidate) => (
          <Candidate key={`${candidate.code} ${candidate.place}`} candidate={candidate} />
        ))}
      </ol>
      {heed.length > 0 && (
        <ul class="mind" aria-label={texts.meaning.heed}>
          {heed.map((one) => (
            <li key={one}>
              <Shape name="mind" /> {one}
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}
