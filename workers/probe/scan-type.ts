import type { ScanName } from '../../jobs/manifest/colour.js';
import type { ProbedFrame } from './ffprobe-output.js';
import { type MotionVotes, orderOfMotion, scanOfMotion } from './scan-by-motion.js';

/**
 * Codecs whose every frame says whether it is interlaced, or that know no fields at all. Silence of others
 * proves nothing.
 */
export const FRAMES_TELL: ReadonlySet<string> = new Set([
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
 * ffmpeg's field orders. `tt` and `bb` are sure. `tb` and `bt` are the codes 9 and 14 of QuickTime's `fiel`,
 * for fields woven into frames; their wording ("T stored, B displayed earliest") contradicts what programs
 * write and read: 9 for top field first, 14 for bottom field first (common practice, no source). So the
 * frames are asked before the code is believed.
 */
const SURE: Readonly<Record<string, ScanName>> = {
  progressive: 'progressive',
  tt: 'interlaced-tff',
  bb: 'interlaced-bff',
};
const WOVEN: Readonly<Record<string, ScanName>> = { tb: 'interlaced-tff', bt: 'interlaced-bff' };

export interface ScanFacts {
  readonly scan: ScanName | null;
  readonly note: string | null;
}

/** What the layers of a file say together. */
export interface StatedScan extends ScanFacts {
  /** What is left for the picture to decide: which field comes first, or whether there are fields at all. */
  readonly open: 'nothing' | 'order' | 'scan';
}

/** ffmpeg's word for a field order; null where it says nothing. */
export function scanOfFieldOrder(fieldOrder: string | undefined): ScanName | null {
  return SURE[fieldOrder ?? ''] ?? WOVEN[fieldOrder ?? ''] ?? null;
}

/**
 * The container's word, as ffprobe gives it. MP4 has no box for fields and many MOV files leave theirs out:
 * what ffprobe then tells is its parser's guess (ffmpeg 5.1 calls bottom-first H.264 `tt`), and the frames
 * say it better.
 *
 * @param boxed what the boxes of MOV or MP4 say; undefined where the container has none, or they cannot be
 * read
 */
export function containerFieldOrder(
  fieldOrder: string | undefined,
  boxed: ScanName | null | undefined,
): string | undefined {
  if (boxed === undefined || Object.hasOwn(WOVEN, fieldOrder ?? '')) return fieldOrder;
  return boxed === null ? undefined : Object.keys(SURE).find((order) => SURE[order] === boxed);
}

/**
 * Scan from the container's word and the flags of sampled frames. Layers that both speak of fields mean
 * fields, even where they differ on which comes first; until the picture is asked (`scanByPicture`) the
 * frames count for the order.
 */
export function statedScan(
  codec: string,
  fieldOrder: string | undefined,
  frames: readonly ProbedFrame[],
): StatedScan {
  const sampled = sampledScans(codec, frames);
  const woven = WOVEN[fieldOrder ?? ''];
  const inFrames = sampled.find(isInterlaced) ?? null;
  const declared = woven === undefined ? (SURE[fieldOrder ?? ''] ?? null) : (inFrames ?? woven);
  const [only = null] = sampled;
  if (sampled.length <= 1) {
    if (declared === null || only === null || declared === only) {
      return { scan: declared ?? only, note: null, open: 'nothing' };
    }
    const note = `scan: the container says ${declared}, the frames say ${only}`;
    // Some demuxers report a container that says nothing of fields as progressive: frames with fields win.
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
 * Lets the motion of the picture decide what the layers left open. Where it does not tell, what was stated
 * stands.
 */
export function scanByPicture({ scan, note, open }: StatedScan, votes: MotionVotes | null): ScanFacts {
  if (open === 'nothing' || votes === null) return { scan, note };
  const told = open === 'order' ? orderOfMotion(votes) : scanOfMotion(votes);
  if (told !== null) return { scan: told, note: `${note}; it moves as ${told}` };
  const taken = scan === null ? '' : `: taken as ${scan}`;
  return { scan, note: `${note}; its motion does not tell${taken}` };
}

function isInterlaced(scan: ScanName): boolean {
  return scan !== 'progressive';
}

/** What the sampled frames say, each answer once. Silence of codecs that do not tell is no answer. */
function sampledScans(codec: string, frames: readonly ProbedFrame[]): readonly ScanName[] {
  const seen = [...new Set(frames.map(scanOfFrame))];
  return seen.length === 1 && seen[0] === 'progressive' && !FRAMES_TELL.has(codec) ? [] : seen;
}

function scanOfFrame(frame: ProbedFrame): ScanName {
  if (!frame.interlaced_frame) return 'progressive';
  return frame.top_field_first ? 'interlaced-tff' : 'interlaced-bff';
}
