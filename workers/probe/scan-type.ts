import type { ScanName } from '../../jobs/colour.js';
import type { ProbedFrame } from './ffprobe-output.js';

/** Codecs whose every frame says whether it is interlaced, or that know no fields at all. Silence of others proves nothing. */
const FRAMES_TELL = new Set(['h264', 'mpeg2video', 'prores', 'ffv1', 'vc1', 'dnxhd', 'hevc', 'av1', 'vp9']);

/**
 * ffmpeg's field orders name the field coded first, then the field displayed first. What a delivery asks for is
 * the one displayed first. Source: libavcodec, enum AVFieldOrder; QuickTime File Format, `fiel`.
 */
const DECLARED: Readonly<Record<string, ScanName>> = {
  progressive: 'progressive',
  tt: 'interlaced-tff',
  bt: 'interlaced-tff',
  bb: 'interlaced-bff',
  tb: 'interlaced-bff',
};

export interface ScanFacts {
  readonly scan: ScanName | null;
  readonly note: string | null;
}

/** Scan from the container's word and the flags of sampled frames. Null, with a note, where they contradict. */
export function scanFacts(
  codec: string,
  fieldOrder: string | undefined,
  frames: readonly ProbedFrame[],
): ScanFacts {
  const declared = DECLARED[fieldOrder ?? ''] ?? null;
  const sampled = sampledScan(codec, frames);
  if (sampled === 'mixed') {
    return {
      scan: null,
      note: 'scan: some of the sampled frames are interlaced, others are not, or their order differs',
    };
  }
  if (declared !== null && sampled !== null && declared !== sampled) {
    // A container that says nothing of fields is reported as progressive by some demuxers: frames with fields win.
    if (declared === 'progressive') {
      return { scan: sampled, note: `scan: the container says progressive, the frames say ${sampled}` };
    }
    return { scan: null, note: `scan: the container says ${declared}, the frames say ${sampled}` };
  }
  return { scan: declared ?? sampled, note: null };
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
