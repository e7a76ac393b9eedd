import type { FfmpegProgress } from './command.js';
import { splitLines } from './split-lines.js';

/**
 * Reads ffmpeg's `-progress` blocks (`key=value` lines, each block ended by `progress=continue|end`). Newer
 * ffmpeg repeats the block while there is no progress, so only a block whose figures changed is reported.
 */
export function readProgress(onProgress: (progress: FfmpegProgress) => void): (chunk: string) => void {
  let block = new Map<string, string>();
  let last = '';
  const lines = splitLines((line) => {
    const at = line.indexOf('=');
    if (at < 0) return;
    const key = line.slice(0, at);
    block.set(key, line.slice(at + 1).trim());
    if (key !== 'progress') return;
    const figures = ['frame', 'out_time_us', 'total_size'].map((name) => block.get(name) ?? '').join(' ');
    if (figures !== last) {
      last = figures;
      onProgress({ frames: figure(block.get('frame')), seconds: figure(block.get('out_time_us')) / 1e6 });
    }
    block = new Map();
  });
  return (chunk) => lines.write(chunk);
}

/** `N/A` and times before zero count as zero. */
function figure(text: string | undefined): number {
  const value = Number(text);
  return Number.isFinite(value) ? Math.max(0, value) : 0;
}
