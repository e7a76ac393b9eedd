import { spawn } from 'node:child_process';
import { ffmpeg, type Master, madeMaster, picture, seconds } from './bench-media.js';
import { withNamedPipe } from './named-pipe.js';

/** Brings the colours into the legal range. */
const LEGAL = ',eq=saturation=0.45:contrast=0.8';
const bt709 = ['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709'];
const sound = ['-c:a', 'pcm_s24le', '-ac', '2'];
const prores = ['-c:v', 'prores_ks', '-profile:v', 'hq', '-pix_fmt', 'yuv422p10le', ...bt709, ...sound];
const h264 = [
  ...['-c:v', 'libx264', '-preset', 'fast', '-crf', '18', '-pix_fmt', 'yuv420p'],
  ...bt709,
  ...sound,
];

export const UHD_MASTER: Master = {
  title: 'UHD 4:2:2 10-bit ProRes HQ',
  file: 'uhd-422-10.mov',
  make: [...picture('3840x2160', LEGAL, 6), ...prores],
  times: 3,
};

const MASTERS: readonly Master[] = [
  UHD_MASTER,
  {
    title: 'HD 4:2:0 H.264',
    file: 'hd-420.mov',
    make: [...picture('1920x1080', LEGAL, 6), ...h264],
    times: 8,
  },
  // Where half the picture is outside R 103, its filter is at work everywhere.
  {
    title: 'the same, outside R 103',
    file: 'hd-420-outside.mov',
    make: [...picture('1920x1080', '', 6), ...h264],
    times: 8,
  },
];

const ROUNDS = 3;

const STACK = ['-vf', 'signalstats,blackdetect,freezedetect,idet', '-af', 'ebur128=peak=true'];

/**
 * Decodes into a pipe that is read and dropped: what no measurement with ffmpeg as a program of its own can
 * do without.
 */
function decodeIntoPipe(path: string): void {
  withNamedPipe((pipe) => {
    const reader = spawn('dd', [`if=${pipe}`, 'of=/dev/null', 'bs=1M'], { stdio: 'ignore' });
    try {
      ffmpeg(['-i', path, '-map', '0:v', '-f', 'rawvideo', pipe, '-map', '0:a', '-f', 'null', '-']);
    } finally {
      reader.kill();
    }
  });
}

/**
 * How long a whole measurement takes beside the bare decoding of picture and sound, beside decoding into a
 * pipe, and beside the filters ffmpeg has for some of it. Run in turn, the fastest of three rounds each, so
 * that what else the machine does falls out.
 *
 * @param measureFile the built one: sources are compiled while they run.
 */
export async function* decodeRatioLines(
  measureFile: (path: string) => Promise<unknown>,
): AsyncGenerator<string> {
  yield 'a complete measurement beside decoding to null (ratio of wall time, best of 3 in turn)';
  for (const master of MASTERS) {
    const { path, rate } = madeMaster(master);
    const best = { decode: Infinity, pipe: Infinity, measure: Infinity, stack: Infinity };
    for (let round = 0; round < ROUNDS; round++) {
      best.decode = Math.min(best.decode, await seconds(() => ffmpeg(['-i', path, '-f', 'null', '-'])));
      best.pipe = Math.min(best.pipe, await seconds(() => decodeIntoPipe(path)));
      best.measure = Math.min(best.measure, await seconds(() => measureFile(path)));
      best.stack = Math.min(
        best.stack,
        await seconds(() => ffmpeg(['-i', path, ...STACK, '-f', 'null', '-'])),
      );
    }
    const to = (value: number): string => (value / best.decode).toFixed(2);
    yield `  ${master.title.padEnd(28)} ${rate} Mbit/s   decode 1 (${best.decode.toFixed(2)} s)   into a pipe ${to(best.pipe)}   measured ${to(best.measure)}   filter stack ${to(best.stack)}`;
  }
}
