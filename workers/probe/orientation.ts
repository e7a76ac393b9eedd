import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { ProbedStream } from './ffprobe-output.js';

/** Rows of the matrix as ffprobe prints them: an offset, then three numbers. */
const ROW = /^\s*[0-9a-f]+:\s+(-?\d+)\s+(-?\d+)\s+-?\d+\s*$/gm;

/**
 * How a player must show the picture, from its display matrix (ISO/IEC 14496-12, clause 8.3.2: the matrix of
 * a track). ffprobe's own `rotation` knows no mirrors: it calls a picture mirrored left to right turned by
 * 180 degrees, and one upside down upright.
 */
export function orientationOf(
  sideData: ProbedStream['side_data_list'],
): Pick<VideoFacts, 'rotation' | 'mirrored'> {
  const item = sideData.find(({ rotation }) => typeof rotation === 'number');
  const counterclockwise = Number(item?.rotation ?? 0);
  const [first, second] = [...String(item?.displaymatrix ?? '').matchAll(ROW)];
  const [a, b, c, d] = [first?.[1], first?.[2], second?.[1], second?.[2]].map((text) => Number(text ?? 0));
  const mirrored = (a ?? 0) * (d ?? 0) - (b ?? 0) * (c ?? 0) < 0;
  // Mirrored first, what is left of the matrix is a turn.
  const turn = mirrored ? (Math.atan2(-(b ?? 0), -(a ?? 0)) * 180) / Math.PI : -counterclockwise;
  return { rotation: ((turn % 360) + 360) % 360, mirrored };
}
