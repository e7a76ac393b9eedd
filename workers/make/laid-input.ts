import { spanParts } from '../../jobs/manifest/span-path.js';
import type { LaidSound } from '../../jobs/plan/laid-sound.js';
import type { FfmpegInput } from '../ffmpeg/command.js';
import { soundDecoding } from '../ffmpeg/sound-decoding.js';

/** Which input of the command the first such file is: the clip is before them. */
export const LAID_INPUT = 1;

/**
 * Whole seconds of the file before the clip, which are passed over: hours of sound need not be decoded.
 * ffmpeg finds a whole second to the sample; joined parts are read from their start.
 */
export function skippedSeconds({ path, from, sampleRate }: LaidSound): number {
  return spanParts(path) === null ? Math.max(0, Math.floor(from / sampleRate)) : 0;
}

export function laidInput(laid: LaidSound): FfmpegInput {
  const seconds = skippedSeconds(laid);
  return {
    path: laid.path,
    options: [...(seconds === 0 ? [] : ['-ss', String(seconds)]), ...soundDecoding(laid.audio)],
  };
}

/**
 * Cuts a stream to the clip, counted in samples: what lies before it is left out, or silence stands there,
 * and silence follows where the file ends sooner.
 */
export function laidFilters(laid: LaidSound): string {
  const { from, samples, sampleRate } = laid;
  const first = from - skippedSeconds(laid) * sampleRate;
  return [
    // Times of the file are not asked: its samples follow one another.
    ...['asetpts=N/SR/TB', `aresample=${sampleRate}`],
    ...(first > 0 ? [`atrim=start_sample=${first}`, 'asetpts=N/SR/TB'] : []),
    ...(first < 0 ? [`adelay=delays=${-first}S:all=1`] : []),
    `apad=whole_len=${samples}`,
    `atrim=end_sample=${samples}`,
  ].join(',');
}
