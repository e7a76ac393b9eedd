import { execa } from 'execa';
import { z } from 'zod';
import { programmeLoudness } from './loudness-by-definition.js';

/**
 * What an independent reading tells of a file: ffprobe's list of decoded frames, and samples counted by a few
 * lines here.
 */
export interface PictureTruth {
  readonly frames: number;
  readonly width: number;
  readonly height: number;
  readonly pixelFormat: string;
  /** Times of frames, s; null where one has none. */
  readonly times: readonly (number | null)[];
  /** The same in ticks of the stream's clock. */
  readonly ticks: readonly (number | null)[];
  /** Of the clock: ticks a second. */
  readonly clock: number;
  /** Of the decoded frames, by ffmpeg's names; null where they carry none. */
  readonly colour: Readonly<Record<'primaries' | 'transfer' | 'matrix' | 'range', string | null>>;
  readonly interlaced: number;
  readonly topFirst: number;
  readonly aspects: ReadonlySet<string>;
  /** Least and largest code of the first plane; null for formats that are not read here. */
  readonly luma: { readonly min: number; readonly max: number } | null;
}

export interface SoundTruth {
  /** Samples of one channel. */
  readonly samples: number;
  readonly channels: number;
  readonly rate: number;
  /** Largest sample, dBFS. */
  readonly peak: number;
  /** Of the first decoded frame, by ffmpeg's name; null where it has none. */
  readonly layout: string | null;
  /**
   * Programme loudness, LUFS; null where the layout is none that is known here, or nothing passes the gate.
   */
  readonly loudness: number | null;
}

const rate = z.string().transform((text) => Number(text.split('/')[0]) / Number(text.split('/')[1] ?? 1));
const named = z
  .string()
  .optional()
  .transform((name) => (name === undefined || /^(?:unknown|reserved|unspecified)$/.test(name) ? null : name));

const frameList = z.object({
  streams: z.array(z.object({ time_base: rate })).default([]),
  frames: z
    .array(
      z.object({
        width: z.number(),
        height: z.number(),
        pix_fmt: z.string(),
        best_effort_timestamp: z.coerce.number().optional(),
        best_effort_timestamp_time: z.coerce.number().optional(),
        color_range: named,
        color_space: named,
        color_primaries: named,
        color_transfer: named,
        interlaced_frame: z.number(),
        top_field_first: z.number(),
        sample_aspect_ratio: z.string().optional(),
      }),
    )
    .default([]),
});

/** What ffprobe prints, also of a file that it cannot read to its end. */
async function told<T>(schema: z.ZodType<T>, args: readonly string[]): Promise<T> {
  const { stdout } = await execa('ffprobe', ['-v', 'quiet', '-of', 'json', ...args], { reject: false });
  return schema.parse(JSON.parse(stdout === '' ? '{}' : stdout));
}

/** Whether a decode of all pictures and sounds of a file prints no error. */
export async function decodesWhole(path: string): Promise<boolean> {
  const { exitCode, stderr } = await execa(
    'ffmpeg',
    ['-v', 'error', '-nostdin', '-i', path, '-map', '0:V?', '-map', '0:a?', '-f', 'null', '-'],
    { reject: false },
  );
  return exitCode === 0 && stderr === '';
}

export async function pictureTruth(path: string): Promise<PictureTruth | null> {
  // V: no pictures that are attached to sound.
  const { frames, streams } = await told(frameList, [
    ...['-select_streams', 'V:0', '-show_frames', '-show_entries', 'stream=time_base', '-i', path],
  ]);
  const [first] = frames;
  if (first === undefined) return null;
  return {
    frames: frames.length,
    width: first.width,
    height: first.height,
    pixelFormat: first.pix_fmt,
    times: frames.map(({ best_effort_timestamp_time: time }) => time ?? null),
    ticks: frames.map(({ best_effort_timestamp: ticks }) => ticks ?? null),
    clock: 1 / (streams[0]?.time_base ?? Number.NaN),
    colour: {
      primaries: first.color_primaries,
      transfer: first.color_transfer,
      matrix: first.color_space,
      range: first.color_range,
    },
    interlaced: frames.filter(({ interlaced_frame: flag }) => flag === 1).length,
    topFirst: frames.filter(({ top_field_first: flag }) => flag === 1).length,
    aspects: new Set(frames.flatMap(({ sample_aspect_ratio: aspect }) => aspect ?? [])),
    luma: await lumaOf(path, first.pix_fmt, first.width, first.height),
  };
}

const PLANAR = /^(?:yuvj?a?4\d\dp|gray)(?:(\d+)le)?$/;

/** The first plane of every frame, code by code. */
async function lumaOf(
  path: string,
  pixelFormat: string,
  width: number,
  height: number,
): Promise<PictureTruth['luma']> {
  const match = PLANAR.exec(pixelFormat);
  if (match === null) return null;
  const bytes = match[1] === undefined ? 1 : 2;
  const { stdout } = await execa(
    'ffmpeg',
    [
      ...['-v', 'quiet', '-noautorotate', '-i', path, '-map', '0:V:0', '-vf', 'extractplanes=y'],
      ...['-fps_mode', 'passthrough', '-f', 'rawvideo', '-'],
    ],
    { encoding: 'buffer', maxBuffer: 2 ** 30, reject: false },
  );
  const codes = bytes === 1 ? stdout : new Uint16Array(stdout.slice().buffer);
  if (codes.length % (width * height) !== 0) return null;
  let [min, max] = [Number.POSITIVE_INFINITY, 0];
  for (const code of codes) {
    if (code < min) min = code;
    if (code > max) max = code;
  }
  return { min, max };
}

const soundList = z
  .object({
    streams: z.array(z.object({ channels: z.number(), sample_rate: z.coerce.number() })).default([]),
    frames: z.array(z.object({ channel_layout: named })).default([]),
  })
  .transform(({ streams, frames }) => [streams[0], frames[0]] as const);

/** Of every sound stream. */
export async function soundTruths(path: string): Promise<SoundTruth[]> {
  const truths: SoundTruth[] = [];
  for (;;) {
    const truth = await soundTruth(path, truths.length);
    if (truth === null) return truths;
    truths.push(truth);
  }
}

export async function soundTruth(path: string, nth = 0): Promise<SoundTruth | null> {
  const [stream, frame] = await told(soundList, [
    ...['-select_streams', `a:${nth}`, '-read_intervals', '%+#1', '-i', path],
    ...['-show_frames', '-show_entries', 'stream=channels,sample_rate:frame=channel_layout'],
  ]);
  if (stream === undefined) return null;
  const { channels, sample_rate: rate } = stream;
  const { stdout } = await execa(
    'ffmpeg',
    [
      ...['-v', 'quiet', '-drc_scale', '0', '-i', path, '-map', `0:a:${nth}`],
      ...['-c:a', 'pcm_f64le', '-f', 'f64le', '-'],
    ],
    { encoding: 'buffer', maxBuffer: 2 ** 30, reject: false },
  );
  const values = new Float64Array(stdout.slice().buffer, 0, Math.floor(stdout.length / 8));
  const largest = values.reduce((high, value) => Math.max(high, Math.abs(value)), 0);
  const layout = frame?.channel_layout ?? null;
  return {
    samples: values.length / channels,
    channels,
    rate,
    peak: 20 * Math.log10(largest),
    layout,
    loudness: programmeLoudness(values, channels, rate, layout),
  };
}
