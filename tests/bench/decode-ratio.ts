import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, renameSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

interface Master {
  readonly title: string;
  readonly file: string;
  readonly make: readonly string[];
}

const SECONDS = 5;
/** Moving, textured and noisy, so that decoders work as they do on camera pictures. */
const picture = (size: string): string[] => [
  ...['-f', 'lavfi', '-i', `mandelbrot=s=${size}:r=25:end_scale=0.02,noise=alls=6:allf=t`],
  ...['-f', 'lavfi', '-i', 'sine=440:r=48000', '-t', String(SECONDS)],
];
const bt709 = ['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709'];
const sound = ['-c:a', 'pcm_s24le', '-ac', '2'];

const MASTERS: readonly Master[] = [
  {
    title: 'UHD 4:2:2 10-bit ProRes HQ',
    file: 'uhd-422-10.mov',
    make: [
      ...picture('3840x2160'),
      ...['-c:v', 'prores_ks', '-profile:v', 'hq', '-pix_fmt', 'yuv422p10le'],
      ...bt709,
      ...sound,
    ],
  },
  {
    title: 'HD 4:2:0 H.264',
    file: 'hd-420.mov',
    make: [
      ...picture('1920x1080'),
      ...['-c:v', 'libx264', '-preset', 'fast', '-crf', '18', '-pix_fmt', 'yuv420p'],
      ...bt709,
      ...sound,
    ],
  },
];

const ROUNDS = 3;

function ffmpeg(args: readonly string[]): void {
  const { status, stderr } = spawnSync('ffmpeg', ['-nostdin', '-hide_banner', '-v', 'error', '-y', ...args]);
  if (status !== 0) throw new Error(`ffmpeg: ${stderr}`);
}

/** Made once and kept between runs: encoding takes longer than everything that is measured. */
function make({ file, make: args }: Master): string {
  const folder = join(tmpdir(), 'goodgate-bench');
  mkdirSync(folder, { recursive: true });
  const path = join(folder, file);
  if (!existsSync(path)) {
    const part = join(folder, `part-${process.pid}-${file}`);
    ffmpeg([...args, part]);
    renameSync(part, path);
  }
  return path;
}

async function seconds(work: () => unknown): Promise<number> {
  const began = performance.now();
  await work();
  return (performance.now() - began) / 1000;
}

const STACK = ['-vf', 'signalstats,blackdetect,freezedetect,idet', '-af', 'ebur128=peak=true'];

/**
 * How long a whole measurement takes beside the bare decoding of picture and sound, and beside the filters ffmpeg has for some
 * of it. Run in turn, the fastest of three rounds each, so that what else the machine does falls out.
 *
 * @param measureFile the built one: threads of the sources would be compiled first.
 */
export async function* decodeRatioLines(
  measureFile: (path: string) => Promise<unknown>,
): AsyncGenerator<string> {
  yield 'a complete measurement beside decoding to null (ratio of wall time, best of 3 in turn)';
  for (const master of MASTERS) {
    const path = make(master);
    const best = { decode: Infinity, measure: Infinity, stack: Infinity };
    for (let round = 0; round < ROUNDS; round++) {
      best.decode = Math.min(best.decode, await seconds(() => ffmpeg(['-i', path, '-f', 'null', '-'])));
      best.measure = Math.min(best.measure, await seconds(() => measureFile(path)));
      best.stack = Math.min(
        best.stack,
        await seconds(() => ffmpeg(['-i', path, ...STACK, '-f', 'null', '-'])),
      );
    }
    const to = (value: number): string => (value / best.decode).toFixed(2);
    yield `  ${master.title.padEnd(28)} decode 1 (${best.decode.toFixed(2)} s)   measured ${to(best.measure)}   filter stack ${to(best.stack)}`;
  }
}
