import type { Finding, Verdict } from '../../jobs/verdict/verdict.js';
import { placeList } from '../../jobs/words/places.js';
import { describeWaiver } from './describe-finding.js';

/** CI systems cut long texts; the report and findings.csv have every place. */
const MAX_PLACES = 50;

/**
 * Verdicts as JUnit XML: a suite for each file, a test case for each requirement. A missed requirement is a
 * failure, one that could not be measured an error (never a skip: skipped tests count as fine), a warning
 * passes with its text as the case's output. What a person waived is skipped, with who, why and until when:
 * it counts as fine and is still seen to be no pass.
 *
 * The class name is `target.file` with every other dot made an underscore, because CI systems cut it at dots
 * into packages and classes (common practice, no source).
 */
export function formatJunit(verdicts: readonly Verdict[]): string {
  const all = verdicts.flatMap(({ findings }) => findings);
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<testsuites name="goodgate" ${totals(all)}>`,
    ...verdicts.flatMap(suite),
    '</testsuites>',
    '',
  ].join('\n');
}

function suite({ file, target, findings }: Verdict): string[] {
  return [
    `  <testsuite name="${attribute(`${file} (${target})`)}" ${totals(findings)}>`,
    ...findings.flatMap((finding) => testCase(finding, `${undotted(target)}.${undotted(file)}`)),
    '  </testsuite>',
  ];
}

function totals(findings: readonly Finding[]): string {
  const of = (outcome: Finding['outcome']): number =>
    findings.filter((f) => f.outcome === outcome && f.waiver === null).length;
  const skipped = findings.filter(({ waiver }) => waiver !== null).length;
  return `tests="${findings.length}" failures="${of('fail')}" errors="${of('unmeasured')}" skipped="${skipped}"`;
}

function undotted(text: string): string {
  return text.replaceAll('.', '_');
}

function testCase(finding: Finding, className: string): string[] {
  const open = `    <testcase classname="${attribute(className)}" name="${attribute(finding.requirement)}"`;
  if (finding.outcome === 'pass') return [`${open}/>`];
  if (finding.waiver !== null) {
    return [
      `${open}>`,
      `      <skipped message="${attribute(`waived ${describeWaiver(finding.waiver)}`)}"/>`,
      `      <system-out>${content(describe(finding))}</system-out>`,
      '    </testcase>',
    ];
  }
  const element = { fail: 'failure', unmeasured: 'error', warn: 'system-out' }[finding.outcome];
  const message =
    element === 'system-out' ? '' : ` type="${finding.outcome}" message="${attribute(finding.measured)}"`;
  return [
    `${open}>`,
    `      <${element}${message}>${content(describe(finding))}</${element}>`,
    '    </testcase>',
  ];
}

function describe(finding: Finding): string {
  const { outcome, expected, measured, why, advice, source, waiver } = finding;
  const places = placeList(finding, MAX_PLACES);
  return [
    `${outcome}: expected ${expected}`,
    `measured: ${measured}`,
    ...(places.length > 0 ? [`at: ${places.join(', ')}`] : []),
    `why: ${why}`,
    ...(advice === '' ? [] : [`do: ${advice}`]),
    ...(source === null ? [] : [`source: ${source}`]),
    ...(waiver === null ? [] : [`waived ${describeWaiver(waiver)}`]),
  ].join('\n');
}

/** Text without the characters XML 1.0 (clause 2.2) has no way to write, not even escaped. */
function writable(text: string): string {
  return Array.from(text)
    .filter((character) => {
      const code = character.codePointAt(0) ?? 0;
      const isControl = code < 0x20 && code !== 0x9 && code !== 0xa && code !== 0xd;
      const isHalf = code >= 0xd800 && code <= 0xdfff;
      return !isControl && !isHalf && code !== 0xfffe && code !== 0xffff;
    })
    .join('');
}

function content(text: string): string {
  return writable(text)
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('\r', '&#13;');
}

function attribute(text: string): string {
  return content(text).replaceAll('"', '&quot;').replaceAll('\n', '&#10;').replaceAll('\t', '&#9;');
}
