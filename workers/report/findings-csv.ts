import type { Finding, Verdict } from '../../jobs/verdict/verdict.js';
import { visible } from '../../jobs/words/plain-text.js';
import { worstFindingsFirst, worstVerdictsFirst } from './order.js';
import { KIND_WORDS, type ResultKind } from './summary/counts-in-words.js';

const COLUMNS = [
  'file',
  'target',
  'verdict',
  'requirement',
  'outcome',
  'expected',
  'measured',
  'from_frame',
  'to_frame',
  'from_timecode',
  'to_timecode',
  'every_place',
  'waived_by',
  'waived_until',
  'waived_why',
  'why',
  'advice',
  'source',
] as const;
type Row = Readonly<Record<(typeof COLUMNS)[number], string>>;

/** A result without findings: a clip or an output of which nothing came, or a file that is not as it was. */
export interface WithoutFindings {
  readonly kind: ResultKind;
  readonly clip: string;
  readonly target: string | null;
  readonly what: string;
  readonly next: string;
}

/** Without it spreadsheets take the text for that of an old code page (common practice, no source). */
const BYTE_ORDER_MARK = '\ufeff';

/**
 * Findings as CSV after RFC 4180: a header; a row for each clip or output that did not become a file to
 * judge (unreadable, missing, not done, refused, waiting), or whose file is not the one that was judged
 * (unmeasured), with that word as its verdict and no requirement; then a row for each place of each
 * finding, or one without a place where it names none. What is not met or not measured comes first, over
 * all files, then what passed. Frames count from 0, and `to` is the first frame after.
 *
 * Spreadsheets take a cell that begins with = + - or @ for a formula, and file names are not ours: such a
 * cell gets an apostrophe before it, -23 LUFS as well. Control characters are written as escapes, so that a
 * row is a line.
 */
export function formatFindingsCsv(
  verdicts: readonly Verdict[],
  undone: readonly WithoutFindings[] = [],
): string {
  const all = worstVerdictsFirst(verdicts).flatMap((verdict) =>
    worstFindingsFirst(verdict.findings).map((finding) => ({ verdict, finding })),
  );
  const isMet = ({ finding }: (typeof all)[number]): boolean => finding.outcome === 'pass';
  const judged = [...all.filter((one) => !isMet(one)), ...all.filter(isMet)].flatMap(({ verdict, finding }) =>
    rowsOf(verdict, finding),
  );
  const rows = [...undone.map(rowOfUndone), ...judged];
  const lines = [
    COLUMNS.join(','),
    ...rows.map((row) => COLUMNS.map((column) => cell(row[column])).join(',')),
  ];
  return BYTE_ORDER_MARK + lines.map((line) => `${line}\r\n`).join('');
}

function rowOfUndone({ kind, clip, target, what, next }: WithoutFindings): Row {
  const word = KIND_WORDS[kind];
  const empty: Record<(typeof COLUMNS)[number], string> = {
    ...{ file: '', target: '', verdict: '', requirement: '', outcome: '', expected: '', measured: '' },
    ...{ from_frame: '', to_frame: '', from_timecode: '', to_timecode: '', every_place: '' },
    ...{ waived_by: '', waived_until: '', waived_why: '', why: '', advice: '', source: '' },
  };
  return {
    ...empty,
    file: clip,
    target: target ?? '',
    verdict: word,
    outcome: word,
    why: what,
    advice: next,
  };
}

function rowsOf({ file, target, verdict }: Verdict, finding: Finding): Row[] {
  const { requirement, outcome, expected, measured, at, everyPlace, why, advice, source, waiver } = finding;
  const places = at.length === 0 ? [null] : at;
  return places.map((place) => ({
    file,
    target,
    verdict,
    requirement,
    outcome,
    expected,
    measured,
    from_frame: place === null ? '' : String(place.from),
    to_frame: place === null ? '' : String(place.to),
    from_timecode: place?.fromTimecode ?? '',
    to_timecode: place?.toTimecode ?? '',
    every_place: place === null ? '' : everyPlace ? 'yes' : 'no',
    waived_by: waiver?.by ?? '',
    waived_until: waiver?.until ?? '',
    waived_why: waiver?.why ?? '',
    why,
    advice,
    source: source ?? '',
  }));
}

function cell(text: string): string {
  const plain = visible(text);
  const harmless = /^\s*[=+\-@\uff1d\uff0b\uff0d\uff20]/.test(plain) ? `'${plain}` : plain;
  return /[",\s']/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
