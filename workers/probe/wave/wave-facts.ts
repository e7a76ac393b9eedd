import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import { formatRational, type Rational } from '../../../signal/rational.js';
import { formatTimecode, nominalRate, timecodeOfFrame } from '../../../signal/timecode.js';
import { knownIxml, slateOfIxml } from './known-ixml.js';
import type { Ixml } from './read-ixml.js';
import { readWave } from './read-wave.js';
import { type TimecodeRate, timecodeRateOf } from './timecode-rate.js';

type Container = ClipFacts['container'];

/** What Broadcast Wave says of a recording. */
export interface WaveFacts {
  readonly startTimecode: string | null;
  readonly reel: string | null;
  readonly timeReference: Container['timeReference'];
  readonly slate: Container['slate'];
  readonly notes: readonly string[];
}

const SECONDS_PER_DAY = 86_400;

/**
 * Start timecode, reel, scene and take of a WAVE file, from its chunks `bext` and `iXML`. What is wrong in
 * them is told in a note and not believed.
 *
 * @param sampleRate of the sound, Hz
 * @returns null for a file that is no WAVE
 */
export async function waveFacts(path: string, sampleRate: number): Promise<WaveFacts | null> {
  const chunks = await readWave(path);
  if (chunks === null) return null;
  const notes = [...chunks.notes];
  const ixml = chunks.ixml && knownIxml(chunks.ixml, notes);
  const reference = referenceOf(chunks.timeReference, ixml, sampleRate, notes);
  const counted = ixml && timecodeRateOf(ixml, notes);
  return {
    startTimecode: reference && counted && statedTimecode(reference, counted),
    reel: ixml?.tape ?? null,
    timeReference: reference === null ? undefined : { ...reference, ...statedCount(counted) },
    slate: ixml === null ? undefined : slateOfIxml(ixml),
    notes,
  };
}

type TimeReference = NonNullable<Container['timeReference']>;

/**
 * Where the recording begins, in samples since midnight. Zero is what writers leave that know no timecode, so
 * it is believed only where iXML says it too.
 */
function referenceOf(
  bext: number | null,
  ixml: Ixml | null,
  sampleRate: number,
  notes: string[],
): TimeReference | null {
  const rate = wholeNumber(ixml?.timestampSampleRate) || sampleRate;
  const low = wholeNumber(ixml?.timestampLow);
  const stamp = low === null ? null : (wholeNumber(ixml?.timestampHigh) ?? 0) * 2 ** 32 + low;
  if (bext !== null && bext !== 0 && stamp !== null && stamp !== bext) {
    notes.push(`its time reference is ${bext} in bext and ${stamp} in iXML: that of bext is taken`);
  }
  const samples = bext === null || bext === 0 ? stamp : bext;
  if (samples === null) return null;
  if (samples < rate * SECONDS_PER_DAY) return { samples, sampleRate: rate };
  notes.push(`its time reference, ${samples} samples, is no time of a day: it is not taken for a timecode`);
  return null;
}

function wholeNumber(text: string | null | undefined): number | null {
  return text != null && /^\d{1,10}$/.test(text) ? Number(text) : null;
}

/** Where both counts exist it has to be said which one is meant. */
function statedTimecode(reference: TimeReference, { rate, dropFrame }: TimecodeRate): string | null {
  return dropFrame === null ? null : timecodeOfReference(reference, rate, dropFrame);
}

/** What whoever lays the sound beside a picture holds against the timecode of that. */
function statedCount(counted: TimecodeRate | null): Pick<TimeReference, 'frameRate' | 'dropFrame'> {
  if (counted === null) return {};
  const { rate, dropFrame } = counted;
  return { frameRate: formatRational(rate), ...(dropFrame === null ? {} : { dropFrame }) };
}

/**
 * The timecode in which a sample lies. Recorders reckon the samples from the timecode at the exact rate, and
 * round them to whole ones: a sample before a frame is that frame (common practice, no source).
 *
 * @returns null for a rate without timecode
 */
export function timecodeOfReference(
  { samples, sampleRate }: TimeReference,
  rate: Rational,
  dropFrame: boolean,
): string | null {
  if (nominalRate(rate) === null) return null;
  const frame = (BigInt(samples + 1) * BigInt(rate.num)) / (BigInt(sampleRate) * BigInt(rate.den));
  return formatTimecode(timecodeOfFrame(Number(frame), rate, dropFrame));
}
