import type { ScanName } from '../../jobs/manifest/colour.js';
import type { ProbedFrame } from './ffprobe-output.js';
import { type MotionVotes, orderOfMotion, scanOfMotion } from './scan-by-motion.js';

/**
 * Codecs whose frames declare whether they are interlaced, or that have no fields at all. For others a
 * missing flag proves nothing.
 */
export const FRAMES_DECLARE: ReadonlySet<string> = new Set([
  'h264',
  'mpeg2video',
  'prores',
  'ffv1',
  'vc1',
  'dnxhd',
  'hevc',
  'av1',
  'vp9',
]);

/**
 * ffmpeg's field orders. `tt` and `bb` are unambiguous. `tb` and `bt` are the codes 9 and 14 of QuickTime's
 * `fiel`, for fields interleaved in frames; their wording ("T stored, B displayed earliest") contradicts what
 * programs write and read: 9 for top field first, 14 for bottom field first (common practice, no source). So
 * the flags of frames take precedence over these codes.
 */
const UNAMBIGUOUS: Readonly<Record<string, ScanName>> = {
  progressive: 'progressive',
  tt: 'interlaced-tff',
  bb: 'interlaced-bff',
};
const INTERLEAVED: Readonly<Record<string, ScanName>> = { tb: 'interlaced-tff', bt: 'interlaced-bff' };

export interface ScanFacts {
  readonly scan: ScanName | null;
  readonly note: string | null;
}

/** What the layers of a file declare together. */
export interface StatedScan extends ScanFacts {
  /** What remains to be detected from motion: which field comes first, or whether there are fields at all. */
  readonly open: 'nothing' | 'order' | 'scan';
}

/** Scan from ffmpeg's name of a field order; null where it declares nothing. */
export function scanOfFieldOrder(fieldOrder: string | undefined): ScanName | null {
  return UNAMBIGUOUS[fieldOrder ?? ''] ?? INTERLEAVED[fieldOrder ?? ''] ?? null;
}

/**
 * The field order that the container declares, as ffprobe reports it. MP4 has no box for fields and many MOV
 * files omit theirs: ffprobe then reports a guess of its parser (ffmpeg 5.1 calls bottom-first H.264 `tt`),
 * and the flags of frames are more reliable.
 *
 * @param boxed what the boxes of MOV or MP4 declare; undefined where the container has none, or they cannot
 * be read
 */
export function containerFieldOrder(
  fieldOrder: string | undefined,
  boxed: ScanName | null | undefined,
): string | undefined {
  if (boxed === undefined || Object.hasOwn(INTERLEAVED, fieldOrder ?? '')) return fieldOrder;
  return boxed === null ? undefined : Object.keys(UNAMBIGUOUS).find((order) => UNAMBIGUOUS[order] === boxed);
}

/**
 * Scan as declared by the container and by the flags of sampled frames. Where both declare fields there are
 * fields, even if they differ in the order; unless motion decides (`scanByPicture`), the order of the frames
 * is used.
 */
export function statedScan(
  codec: string,
  fieldOrder: string | undefined,
  frames: readonly ProbedFrame[],
): StatedScan {
  const sampled = sampledScans(codec, frames);
  const interleaved = INTERLEAVED[fieldOrder ?? ''];
  const inFrames = sampled.find(isInterlaced) ?? null;
  const declared =
    interleaved === undefined ? (UNAMBIGUOUS[fieldOrder ?? ''] ?? null) : (inFrames ?? interleaved);
  const [only = null] = sampled;
  if (sampled.length <= 1) {
    if (declared === null || only === null || declared === only) {
      return { scan: declared ?? only, note: null, open: 'nothing' };
    }
    const note = `scan: the container declares ${declared}, the frames ${only}`;
    // Some demuxers report a container that declares nothing about fields as progressive: frames with fields
    // take precedence.
    if (declared === 'progressive') return { scan: only, note, open: 'nothing' };
    return isInterlaced(only) ? { scan: only, note, open: 'order' } : { scan: null, note, open: 'scan' };
  }
  const fieldsDeclared = declared !== null && isInterlaced(declared) ? declared : null;
  if (sampled.every(isInterlaced)) {
    const note = 'scan: the sampled frames are interlaced, but differ in which field comes first';
    return { scan: fieldsDeclared ?? inFrames, note, open: 'order' };
  }
  const note = 'scan: some of the sampled frames are interlaced and others not';
  return { scan: fieldsDeclared, note, open: 'scan' };
}

/**
 * Lets motion decide what the layers left open. Where it does not, the declared scan is used.
 */
export function scanByPicture({ scan, note, open }: StatedScan, votes: MotionVotes | null): ScanFacts {
  if (open === 'nothing' || votes === null) return { scan, note };
  const moving = open === 'order' ? orderOfMotion(votes) : scanOfMotion(votes);
  if (moving !== null) return { scan: moving, note: `${note}; its motion is ${moving}` };
  const assumed = scan === null ? '' : `: ${scan} is assumed`;
  return { scan, note: `${note}; its motion does not show which is right${assumed}` };
}

function isInterlaced(scan: ScanName): boolean {
  return scan !== 'progressive';
}

/**
 * The scan types that sampled frames declare, each once. Progressive frames count only in codecs that declare
 * it.
 */
function sampledScans(codec: string, frames: readonly ProbedFrame[]): readonly ScanName[] {
  const seen = [...new Set(frames.map(scanOfFrame))];
  return seen.length === 1 && seen[0] === 'progressive' && !FRAMES_DECLARE.has(codec) ? [] : seen;
}

function scanOfFrame(frame: ProbedFrame): ScanName {
  if (!frame.interlaced_frame) return 'progressive';
  return frame.top_field_first ? 'interlaced-tff' : 'interlaced-bff';
}
