import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { ProbedStream } from './ffprobe-output.js';

/** Rows of the matrix as ffprobe prints them: an offset, then three numbers. */
const ROW = /^\s*[0-9a-f]+:\s+(-?\d+)\s+(-?\d+)\s+-?\d+\s*$/gm;

/**
 * How a player must show the picture, from its display matrix (ISO/IEC 14496-12, clause 8.3.2: the matrix of
 * a track). ffprobe's `rotation` ignores mirroring: it reports a picture mirrored left to right as rotated by
 * 180 degrees, and one mirrored top to bottom as upright.
 */
export function orientationOf(
  sideData: ProbedStream['side_data_list'],
): Pick<VideoFacts, 'rotation' | 'mirrored'> {
  const item = sideData.find(({ rotation }) => typeof rotation === 'number');
  const counterclockwise = Number(item?.rotation ?? 0);
  const [first, second] = [...String(item?.displaymatrix ?? '').matchAll(ROW)];
  const [a, b, c, d] = [first?.[1], first?.[2], second?.[1], second?.[2]].map((text) => Number(text ?? 0));
  const mirrored = (a ?? 0) * (d ?? 0) - (b ?? 0) * (c ?? 0) < 0;
  // Once the picture is mirrored, the rest of the matrix is a rotation.
  const turn = mirrored ? (Math.atan2(-(b ?? 0), -(a ?? 0)) * 180) / Math.PI : -counterclockwise;
  return { rotation: ((turn % 360) + 360) % 360, mirrored };
}
