// What a test runner has reported: how many tests passed, failed and were left out, and what the failed ones said.
//
//   node tests/report.mjs junit|vitest|playwright REPORT FAILURES
//
// prints three numbers, and adds every failed test with the first lines of its reason to FAILURES,
// so that a long log ends with why it is red.
import { appendFileSync, readFileSync } from 'node:fs';

/** Lines of a reason that are kept; an assertion's values stand in the first of them. */
const REASON_LINES = 14;
const LINE_LENGTH = 300;

const [kind, report, failures] = process.argv.slice(2);
const text = readFileSync(report, 'utf8');

const plain = (reason) => reason.replace(/\u001b\[[0-9;]*m/g, '');
const unescaped = (xml) =>
  plain(xml.replace(/<!\[CDATA\[|\]\]>/g, ''))
    .replace(/&#(\d+);/g, (_, code) => String.fromCodePoint(Number(code)))
    .replace(/&#x([0-9a-f]+);/gi, (_, code) => String.fromCodePoint(parseInt(code, 16)))
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&apos;', "'")
    .replaceAll('&amp;', '&');

function junit() {
  const head = text.match(/<testsuites\b[^>]*>/)[0];
  const number = (name) => Number(head.match(new RegExp(` ${name}="(\\d+)"`))?.[1] ?? 0);
  const bad = number('failures') + number('errors');
  const skipped = (text.match(/<skipped\b/g) ?? []).length;
  const failed = [];
  for (const [, attributes, body] of text.matchAll(/<testcase\b([^>]*[^/])>([\s\S]*?)<\/testcase>/g)) {
    const reason = body.match(/<(failure|error)\b([^>]*?)(?:\/>|>([\s\S]*?)<\/\1>)/);
    if (!reason) continue;
    const name = ['classname', 'name'].map((key) => attributes.match(new RegExp(`\\b${key}="([^"]*)"`))?.[1] ?? '').join(' ');
    failed.push({ name: unescaped(name), reason: unescaped(reason[3] || reason[2]) });
  }
  return { counts: [number('tests') - bad - skipped, bad, skipped], failed };
}

function vitest() {
  const run = JSON.parse(text);
  // A file that does not load runs no test and is a failure all the same.
  const unloaded = run.testResults.filter((file) => file.status === 'failed' && file.assertionResults.every(({ status }) => status !== 'failed'));
  const failed = [
    ...unloaded.map(({ name, message }) => ({ name, reason: message ?? '' })),
    ...run.testResults
      .flatMap(({ assertionResults }) => assertionResults)
      .filter(({ status }) => status === 'failed')
      .map(({ fullName, failureMessages }) => ({ name: fullName, reason: failureMessages.join('\n') })),
  ];
  return { counts: [run.numPassedTests, run.numFailedTests + unloaded.length, run.numPendingTests + (run.numTodoTests ?? 0)], failed };
}

function playwright() {
  const run = JSON.parse(text);
  const failed = (run.errors ?? []).map(({ message }) => ({ name: 'the whole run', reason: message ?? '' }));
  const walk = (suite) => {
    for (const inner of suite.suites ?? []) walk(inner);
    for (const { title, file, line, tests } of suite.specs ?? []) {
      for (const { results, status } of tests) {
        if (status !== 'unexpected' && status !== 'flaky') continue;
        const reasons = results.flatMap(({ errors }) => errors ?? []).map(({ message, location }) => `${message ?? ''}\nat line ${location?.line ?? '?'}`);
        failed.push({ name: `${file}:${line} ${title}`, reason: reasons.join('\n') });
      }
    }
  };
  for (const suite of run.suites) walk(suite);
  // Flaky means that it failed at least once.
  return { counts: [run.stats.expected, run.stats.unexpected + run.stats.flaky + (run.errors?.length ?? 0), run.stats.skipped], failed };
}

const readers = { junit, vitest, playwright };
const { counts, failed } = readers[kind]();
for (const { name, reason } of failed) {
  const lines = plain(reason)
    .split('\n')
    .filter((line) => line.trim() !== '');
  const kept = lines.slice(0, REASON_LINES).map((line) => `    ${line.slice(0, LINE_LENGTH)}`);
  if (lines.length > REASON_LINES) kept.push(`    (${lines.length - REASON_LINES} more lines above)`);
  appendFileSync(failures, `${[`failed: ${name}`, ...kept].join('\n')}\n`);
}
console.log(counts.join(' '));
