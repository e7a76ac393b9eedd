import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import type { Acceptance, Finding, Verdict } from '../../jobs/verdict/verdict.js';
import type { Waiver } from '../../jobs/verdict/waivers.js';
import { count } from '../../jobs/words/numbers.js';
import { verdictOf } from './judge.js';
import { framesAt, joinRanges } from './place.js';
import { formatRegion, readRegions } from './regions.js';

export interface WaiverContext {
  /** SHA-256 of the file that was judged; null when it changed while it was. */
  readonly sha256: string | null;
  /** `YYYY-MM-DD`. */
  readonly today: string;
  /** Null when nothing could be measured. */
  readonly measurement: Measurement | null;
}

/** Name of the finding that lists waivers that do not apply, and why. */
export const WAIVER_FINDING = 'waiver';

/**
 * The verdict with waivers applied. Pure.
 *
 * A waived finding keeps its outcome and names who waived it; it makes the verdict `warn` instead of `fail`.
 * Anything but a pass can be waived. What could not be measured is waived only by a waiver with `unmeasured`:
 * then a person takes responsibility, and it is still shown as not measured. A waiver that is expired, was
 * given for another version of the file, or covers only some places of the finding has no effect, and a
 * finding of its own says so.
 */
export function applyWaivers(verdict: Verdict, waivers: readonly Waiver[], context: WaiverContext): Verdict {
  const refused: string[] = [];
  const findings = verdict.findings.map((finding): Finding => {
    if (finding.outcome === 'pass') return finding;
    const meant = waivers.filter(
      ({ finding: name, target }) =>
        name === finding.requirement && (target === undefined || target === verdict.target),
    );
    const { waiver, reasons } = applyTo(finding, meant, context);
    if (waiver === null) refused.push(...reasons);
    return { ...finding, waiver };
  });
  return withNotice({ ...verdict, findings }, refused);
}

/** The verdict with a finding on waivers that do not apply; unchanged where there are none. */
export function withNotice(verdict: Verdict, refused: readonly string[]): Verdict {
  const notice: Finding[] =
    refused.length === 0
      ? []
      : [
          {
            requirement: WAIVER_FINDING,
            outcome: 'warn',
            expected: 'waivers that apply',
            limits: {},
            measured: refused.join('; '),
            at: [],
            everyPlace: false,
            why: 'A waiver that does not apply leaves the finding as it is.',
            advice: 'Check the finding again; if it is still acceptable, waive it again.',
            source: null,
            waiver: null,
          },
        ];
  const findings = [...verdict.findings, ...notice];
  return { ...verdict, verdict: verdictOf(findings), findings };
}

interface Applied {
  readonly waiver: Acceptance | null;
  /** Why each waiver that does not apply does not. */
  readonly reasons: readonly string[];
}

function applyTo(finding: Finding, waivers: readonly Waiver[], context: WaiverContext): Applied {
  const reasons: string[] = [];
  const refuse = (waiver: Waiver, reason: string): void => {
    reasons.push(`${describe(waiver)}: ${reason}`);
  };
  const partial: { waiver: Waiver; frames: readonly FrameRange[] }[] = [];
  for (const waiver of waivers) {
    const reason = reasonAgainst(waiver, finding, context);
    if (reason !== null) {
      refuse(waiver, reason);
    } else if (waiver.range === undefined) {
      return { waiver: accepted([waiver]), reasons: [] };
    } else if (context.measurement !== null) {
      const read = readRegions([waiver.range], context.measurement);
      if (read.frames === null) refuse(waiver, read.reason);
      else partial.push({ waiver, frames: read.frames });
    }
  }
  const covered = joinRanges(partial.flatMap(({ frames }) => frames));
  const gap = uncovered(finding, covered, context.measurement);
  const touching = partial.filter(({ frames }) => finding.at.some((place) => overlaps(place, frames)));
  if (partial.length > 0 && gap === null)
    return { waiver: accepted(touching.map(({ waiver }) => waiver)), reasons: [] };
  for (const { waiver } of partial) refuse(waiver, gap ?? '');
  return { waiver: null, reasons };
}

/** Why a waiver does not apply to this file today; null when it does. */
function reasonAgainst(
  waiver: Waiver,
  { outcome }: Finding,
  { sha256, today, measurement }: WaiverContext,
): string | null {
  if (measurement === null) return 'the file cannot be read, so nothing was judged';
  if (sha256 === null) return 'the file changed while it was checked';
  if (waiver.sha256 !== sha256) {
    return `it was given for another file of this name (SHA-256 ${waiver.sha256.slice(0, 12)}..., this one is ${sha256.slice(0, 12)}...)`;
  }
  if (waiver.until < today) return `it expired on ${waiver.until}`;
  if (outcome === 'unmeasured' && waiver.unmeasured !== true) {
    return 'it accepts a measured fault, and this time it could not be measured';
  }
  if (outcome !== 'unmeasured' && waiver.unmeasured === true) {
    return 'it accepts that this could not be measured, and now it is measured';
  }
  return null;
}

/** Why waivers of these frames do not cover the finding; null when they cover every place of it. */
function uncovered(
  { at, everyPlace }: Finding,
  covered: readonly FrameRange[],
  measurement: Measurement | null,
): string | null {
  if (at.length === 0) return 'the finding concerns the whole file, and only a part is waived';
  if (!everyPlace) return 'not every place of the finding is known, and only a part is waived';
  const open = at.find(({ from, to }) => !covered.some((part) => part.from <= from && to <= part.to));
  if (open === undefined) return null;
  const held = covered.find((part) => part.from <= open.from && open.from < part.to);
  const first = held === undefined ? open.from : held.to;
  const label = measurement === null ? null : framesAt(measurement, first, first + 1).fromTimecode;
  const places = at.filter(({ from, to }) => !covered.some((part) => part.from <= from && to <= part.to));
  return `it leaves ${count(places.length, 'place')} of ${at.length} open, the first at ${label ?? `frame ${first}`}`;
}

function overlaps(place: FrameRange, frames: readonly FrameRange[]): boolean {
  return frames.some(({ from, to }) => place.from < to && from < place.to);
}

/**
 * Several waivers of parts as one: everybody who accepted, every reason, and the day the first of them ends.
 */
function accepted(waivers: readonly Waiver[]): Acceptance {
  const each = (key: 'by' | 'why'): string => [...new Set(waivers.map((waiver) => waiver[key]))].join('; ');
  const [until = ''] = waivers.map((waiver) => waiver.until).sort();
  return { by: each('by'), why: each('why'), until };
}

function describe({ finding, by, until, range }: Waiver): string {
  const part = range === undefined ? '' : `, ${formatRegion(range)},`;
  return `the waiver of ${finding}${part} by ${by} until ${until} does not apply`;
}
