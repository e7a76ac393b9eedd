import { basename, extname } from 'node:path';
import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import type { Finding, Verdict } from '../../jobs/verdict/verdict.js';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { parseRational, type Rational } from '../../signal/rational.js';
import {
  advanceTimecode,
  formatTimecode,
  nominalRate,
  parseTimecode,
  type Timecode,
  timecodeOfFrame,
} from '../../signal/timecode.js';
import { describeWaiver } from './describe-finding.js';
import { worstFindingsFirst } from './order.js';

export type MarkerList =
  | { readonly text: string; readonly places: number; readonly reason: null }
  | { readonly text: null; readonly places: number; readonly reason: string };

/** Event numbers have three digits. */
const MOST_EVENTS = 999;
/** Frame numbers have two digits. */
const HIGHEST_RATE = 100;
const REEL_LENGTH = 8;
const LINE_LENGTH = 76;

interface Marker {
  readonly place: FrameRange;
  readonly finding: Finding;
  readonly target: string;
}

/**
 * Every place of every finding of one file as a cut of its own in an edit decision list of the CMX 3600 form,
 * so that an editor can step through them: source and record times are both the file's own timecode, and the
 * comments after each event say what is there.
 *
 * The form is an open convention of the trade without a standard. What is kept to, from memory: a title and a
 * frame-count line first; then events of fixed columns with a three-digit number, a reel of at most eight
 * letters and digits, `V` for picture, `C` for a cut, source in and out, record in and out (out is the first
 * frame after); comments begin with `* `.
 */
export function formatMarkers(verdicts: readonly Verdict[], measurement: Measurement): MarkerList {
  const all = verdicts.flatMap(({ findings, target }) =>
    findings
      .filter(({ outcome }) => outcome !== 'pass')
      .flatMap((finding) => finding.at.map((place): Marker => ({ place, finding, target }))),
  );
  const clock = clockOf(measurement);
  if (clock.start === null) return { text: null, places: all.length, reason: clock.reason };
  const { start } = clock;
  const kept = worstMarkersFirst(all).slice(0, MOST_EVENTS);
  kept.sort((a, b) => a.place.from - b.place.from || a.place.to - b.place.to);
  const name = basename(measurement.file.path);
  const reel = reelOf(measurement, name);
  const without = verdicts.flatMap(({ findings, target }) =>
    worstFindingsFirst(findings)
      .filter(({ outcome, at }) => outcome !== 'pass' && at.length === 0)
      .flatMap((finding) => comment(`${headOf(finding)}, no single place (${target}): ${finding.measured}`)),
  );
  const lines = [
    `TITLE: ${Array.from(oneLine(name))
      .slice(0, LINE_LENGTH - 7)
      .join('')}`,
    `FCM: ${start.dropFrame ? 'DROP FRAME' : 'NON-DROP FRAME'}`,
    '',
    ...comment(`goodgate markers, frame rate ${start.rate.num}/${start.rate.den}`),
    ...clock.notes.flatMap(comment),
    ...(all.length > kept.length
      ? comment(`${all.length - kept.length} more places are in findings.csv: this form holds ${MOST_EVENTS}`)
      : []),
    ...without,
    ...kept.flatMap((marker, index) => event(marker, index + 1, reel, name, start)),
  ];
  return { text: lines.map((line) => `${line}\r\n`).join(''), places: all.length, reason: null };
}

function worstMarkersFirst(markers: readonly Marker[]): Marker[] {
  const order = worstFindingsFirst(markers.map(({ finding }) => finding));
  const rank = new Map(order.map((finding, index) => [finding, index]));
  return [...markers].sort((a, b) => (rank.get(a.finding) ?? 0) - (rank.get(b.finding) ?? 0));
}

function event(marker: Marker, number: number, reel: string, clip: string, start: Timecode): string[] {
  const { place, finding, target } = marker;
  const from = formatTimecode(advanceTimecode(start, place.from));
  const to = formatTimecode(advanceTimecode(start, place.to));
  const columns = [String(number).padStart(3, '0'), '', reel.padEnd(REEL_LENGTH), 'V    ', 'C       '];
  return [
    `${columns.join(' ')} ${from} ${to} ${from} ${to}`,
    ...comment(`FROM CLIP NAME: ${clip}`),
    ...comment(`${headOf(finding)} (${target}): ${finding.measured}`),
    ...(finding.everyPlace ? [] : comment('not every place is known: look around this one')),
    ...(finding.waiver === null
      ? comment(finding.advice)
      : comment(`waived ${describeWaiver(finding.waiver)}`)),
  ];
}

function headOf({ outcome, requirement, waiver }: Finding): string {
  return `${waiver === null ? '' : 'WAIVED '}${outcome.toUpperCase()} ${requirement}`;
}

/** Lines none of which is long, each marked as a comment, with the characters they were written in. */
function comment(text: string): string[] {
  const plain = oneLine(text);
  return plain === '' ? [] : wrap(plain, LINE_LENGTH).map((line) => `* ${line}`);
}

/** UTF-8, as names are: only what would break the line or turn its direction is written out. */
function oneLine(text: string): string {
  return visible(text.replaceAll(/\s+/g, ' ').trim());
}

function plainAscii(text: string): string {
  return text
    .replaceAll('²', '2')
    .replaceAll(/[‘’]/g, "'")
    .normalize('NFKD')
    .replaceAll(/\p{M}/gu, '')
    .replaceAll(/\s+/g, ' ')
    .replaceAll(/[^ -~]/gu, '?');
}

/** The reel the file states, else its name: letters and digits, eight at most. */
function reelOf({ container }: Measurement, name: string): string {
  const short = (text: string): string =>
    plainAscii(text)
      .toUpperCase()
      .replaceAll(/[^A-Z0-9]/g, '')
      .slice(0, REEL_LENGTH);
  return short(container.reel ?? '') || short(basename(name, extname(name))) || 'AX';
}

type Clock =
  | { readonly start: Timecode; readonly notes: readonly string[]; readonly reason: null }
  | { readonly start: null; readonly reason: string };

/** What the first frame is called. */
function clockOf({ video, container }: Measurement): Clock {
  const rate = parseRational(video?.frameRate ?? '');
  if (rate === null) return { start: null, reason: 'the file has no picture with a frame rate to count by' };
  const nominal = nominalRate(rate);
  if (nominal === null || nominal > HIGHEST_RATE) {
    return { start: null, reason: `this form cannot count ${rate.num}/${rate.den} frames a second` };
  }
  const { startTimecode } = container;
  if (startTimecode === null) return fromMidnight(rate, 'the file has no timecode');
  const { timecode, reason } = parseTimecode(startTimecode, rate);
  return timecode === null ? fromMidnight(rate, reason) : { start: timecode, notes: [], reason: null };
}

function fromMidnight(rate: Rational, why: string): Clock {
  return {
    start: timecodeOfFrame(0, rate),
    notes: [`${why}: frames are counted from 00:00:00:00`],
    reason: null,
  };
}
