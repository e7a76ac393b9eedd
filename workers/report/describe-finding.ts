import type { FrameRange } from '../../jobs/measurement/measurement.js';
import type { Acceptance, Verdict } from '../../jobs/verdict/verdict.js';
import { visible } from '../../jobs/words/plain-text.js';

/** `10:00:01:00 to 10:00:01:05 (frames 25 to 29)`; the timecode's end is the first frame after, as an edit list has it. */
export function describePlace({ from, to, fromTimecode, toTimecode }: FrameRange): string {
  const frames = to - from === 1 ? `frame ${from}` : `frames ${from} to ${to - 1}`;
  return fromTimecode === null ? frames : `${fromTimecode} to ${toTimecode ?? '?'} (${frames})`;
}

/** Who accepted a finding, until when and why; on one line whatever people wrote. */
export function describeWaiver({ by, why, until }: Acceptance): string {
  return visible(`by ${by} until ${until}: ${why}`);
}

/** Whether a file can be used as it is: nothing failed and everything was measured, or a person accepted what did not or was not. */
export function isFit({ verdict, findings }: Verdict): boolean {
  return (
    verdict !== 'fail' &&
    findings.every(({ outcome, waiver }) => outcome === 'pass' || outcome === 'warn' || waiver !== null)
  );
}
