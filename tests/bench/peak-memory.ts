import { madeMaster } from './bench-media.js';
import { UHD_MASTER } from './decode-ratio.js';
import { measuredCommand } from './measured-command.js';

const FRAME_BYTES = 3840 * 2160 * 2 * 2;

/**
 * Peak resident set of `goodgate measure`, as built, in MB and in frames of the file. ffmpeg's own process is
 * not in it.
 */
export function* peakMemoryLines(): Generator<string> {
  const { path } = madeMaster(UHD_MASTER);
  const peak = measuredCommand(['measure', path, '--json']).peakMegabytes * 1e6;
  yield 'peak resident set of goodgate measure, without ffmpeg';
  yield `  ${UHD_MASTER.title.padEnd(28)} ${(peak / 1e6).toFixed(0)} MB, ${(peak / FRAME_BYTES).toFixed(1)} frames`;
}
