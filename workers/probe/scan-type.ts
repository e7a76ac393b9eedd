import type { ScanName } from '../../jobs/manifest/colour.js';
import type { ProbedFrame } from './ffprobe-output.js';

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

/** ffmpeg's word for a field order; null where it says nothing. */
export function scanOfFieldOrder(fieldOrder: string | undefined): ScanName | null {
  return SURE[fieldOrder ?? ''] ?? WOVEN[fieldOrder ?? ''] ?? null;
}

/**
 * Scan from the container's word and the flags of sampled frames. Null, with a note, where they contradict.
 */
export function scanFacts(
  codec: string,
  fieldOrder: string | undefined,
  frames: readonly ProbedFrame[],
): ScanFacts {
  const sampled = sampledScan(codec, frames);
  if (sampled === 'mixed') {
    return {
      scan: null,
      note: 'scan: some of the sampled frames are interlaced and others not, or their field order differs',
    };
  }
  const woven = WOVEN[fieldOrder ?? ''];
  const declared =
    woven === undefined ? SURE[fieldOrder ?? ''] : sampled?.startsWith('interlaced') ? sampled : woven;
  if (declared === undefined || sampled === null || declared === sampled) {
    return { scan: declared ?? sampled, note: null };
  }
  // Some demuxers report a container that says nothing of fields as progressive: frames with fields win.
  return {
    scan: declared === 'progressive' ? sampled : null,
    note: `scan: the container says ${declared}, the frames say ${sampled}`,
  };
}

function sampledScan(codec: string, frames: readonly ProbedFrame[]): ScanName | 'mixed' | null {
  const seen = new Set(frames.map(scanOfFrame));
  if (seen.size > 1) return 'mixed';
  const [only] = seen;
  if (only === undefined) return null;
  return only === 'progressive' && !FRAMES_TELL.has(codec) ? null : only;
}

function scanOfFrame(frame: ProbedFrame): ScanName {
  if (!frame.interlaced_frame) return 'progressive';
  return frame.top_field_first ? 'interlaced-tff' : 'interlaced-bff';
}
