// Earlier runs as a plain table, to hold a before against an after.
import { ANGLES, findingOf, mountsOf, type Sheet } from '../state/findings';
import { angle as inWords, expandedAngle } from '../state/shown';
import { texts } from '../texts';

function Run({ sheet }: { sheet: Sheet }) {
  const mounts = mountsOf(sheet);
  return (
    <table>
      <caption>{texts.findings.run(sheet.run)}</caption>
      <thead>
        <tr>
          <td />
          {mounts.map((mount) => (
            <th key={mount} scope="col">{texts.mounts[mount]}</th>
          ))}
        </tr>
      </thead>
      <tbody>
        {ANGLES.map((angle) => (
          <tr key={angle}>
            <th scope="row">{texts.findings.angle[angle].name}</th>
            {mounts.map((mount) => {
              const finding = findingOf(sheet, mount, angle);
              return (
                <td key={mount}>
                  {finding && `${inWords(finding.value_deg)} ${texts.findings.interval(expandedAngle(finding.expanded_deg))}`}
                </td>
              );
            })}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function EarlierRuns({ sheets }: { sheets: readonly Sheet[] }) {
  return (
    <details class="earlier">
      <summary>{texts.findings.earlier}</summary>
      {sheets.map((sheet) => (
        <Run key={sheet.run} sheet={sheet} />
      ))}
    </details>
  );
}
