import { randomUUID } from 'node:crypto';
import { mkdir, rename, rm, stat, truncate, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import { atOnce } from '../../workers/at-once.js';
import type { FfmpegInput } from '../../workers/ffmpeg/command.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import { hashFile } from '../../workers/file/hash-file.js';
import { writeWaiver } from '../../workers/judge/write-waiver.js';
import { DRAWN_CLIPS, type DrawnClip, encodeOptions, UNREADABLE_FILE } from './clips.js';
import { DEMO_MANIFEST, demoDocuments } from './documents.js';
import { drawFrames } from './draw-frames.js';
import { nearestCodedNits, PICTURES, type Picture, type PictureName, pqNits } from './pictures.js';
import { SAMPLE_RATE, writeTone } from './sound.js';

export interface DemoClipsOptions {
  /** Called after each clip: how many stand, of how many, and the one just made. */
  readonly onProgress?: ((done: number, total: number, file: string) => void) | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Only some of the demo's clips; all of them when left out. */
  readonly clips?: readonly DrawnClip[] | undefined;
}

interface Place {
  readonly folder: string;
  /** Where unfinished files live; on the same disk, so a rename ends the work. */
  readonly scratch: string;
  readonly signal: AbortSignal | undefined;
}

/**
 * Makes the demo's cards, masters, look, targets and manifest (`demo.yaml`) below `folder`. The manifest is
 * written last: where it stands, everything else does.
 *
 * Throws GoodgateError `ffmpeg-failed` when a clip cannot be made, `interrupted` when the signal aborts.
 */
export async function makeDemoClips(folder: string, options: DemoClipsOptions = {}): Promise<void> {
  const scratch = join(folder, `.drawing-${randomUUID()}`);
  const clips = options.clips ?? DRAWN_CLIPS;
  const total = clips.length + 1;
  let done = 0;
  const made = (file: string) => options.onProgress?.(++done, total, file);
  await mkdir(scratch, { recursive: true });
  try {
    await writeUnreadable(join(folder, UNREADABLE_FILE));
    made(UNREADABLE_FILE);
    // Drawing runs here and encoding in ffmpeg: a second picture is drawn while the first one is encoded.
    await atOnce(2, new Set(clips.map((clip) => clip.picture)), (picture) =>
      makeClipsOf(
        picture,
        clips.filter((clip) => clip.picture === picture),
        { folder, scratch, signal: options.signal },
        made,
      ),
    );
    for (const [path, text] of demoDocuments()) await writeWhole(join(folder, path), text);
  } catch (error) {
    if (options.signal?.aborted) throw interrupted(error);
    throw error;
  } finally {
    await rm(scratch, { recursive: true, force: true });
  }
}

/** True when a folder already holds a finished set of demo clips. */
export async function hasDemoClips(folder: string): Promise<boolean> {
  const manifest = await stat(join(folder, DEMO_MANIFEST)).catch(() => null);
  return manifest?.isFile() ?? false;
}

async function makeClipsOf(
  name: PictureName,
  clips: readonly DrawnClip[],
  place: Place,
  made: (file: string) => void,
): Promise<void> {
  const picture: Picture = PICTURES[name];
  const raw = join(place.scratch, `${name}.raw`);
  const drawn = await drawFrames(raw, picture.take, picture.coding, place.signal);
  const light = { maxCll: nearestCodedNits(pqNits(drawn.maxCll)), maxFall: pqNits(drawn.maxFall) };
  for (const clip of clips) {
    await encodeClip(clip, raw, picture, light, place);
    made(clip.file);
  }
  await rm(raw);
}

async function encodeClip(
  clip: DrawnClip,
  raw: string,
  picture: Picture,
  light: { maxCll: number; maxFall: number },
  { folder, scratch, signal }: Place,
): Promise<void> {
  const place = join(folder, clip.file);
  const extension = clip.file.slice(clip.file.lastIndexOf('.'));
  const unfinished = join(scratch, `${randomUUID()}${extension}`);
  const tone = `${unfinished}.f32`;
  const inputs = [videoInput(raw, picture, clip.rate)];
  if (clip.loudness !== null) {
    const [num = 25, den = 1] = clip.rate.split('/').map(Number);
    await writeTone(tone, (picture.take.frames * den) / num, clip.loudness);
    inputs.push(toneInput(tone));
  }
  const result = await runFfmpeg(
    {
      inputs,
      outputs: [
        { path: unfinished, options: outputOptions(clip, light, extension, picture.take.interlaced) },
      ],
    },
    { signal, timeoutMs: 120_000 },
  );
  signal?.throwIfAborted();
  if (result.exitCode !== 0) {
    throw new GoodgateError('ffmpeg-failed', {
      what: `the demo clip could not be made: ${result.errors.at(-1) ?? `ffmpeg ended with ${result.exitCode}`}`,
      where: clip.file,
      next: 'run `goodgate doctor` to see which encoder is missing',
    });
  }
  if (clip.keep !== undefined) {
    const { size } = await stat(unfinished);
    await truncate(unfinished, Math.floor(size * clip.keep));
  }
  await rm(tone, { force: true });
  await mkdir(dirname(place), { recursive: true });
  await rename(unfinished, place);
  if (clip.waived !== undefined) {
    await writeWaiver(place, { ...clip.waived, sha256: await hashFile(place, { signal }) });
  }
}

function videoInput(raw: string, picture: Picture, rate: string): FfmpegInput {
  const { coding, pixelFormat } = picture;
  return {
    path: raw,
    options: [
      ...['-f', 'rawvideo', '-pixel_format', pixelFormat],
      ...['-video_size', `${coding.width}x${coding.height}`, '-framerate', rate],
    ],
  };
}

function toneInput(tone: string): FfmpegInput {
  return { path: tone, options: ['-f', 'f32le', '-ar', String(SAMPLE_RATE), '-ac', '2'] };
}

function outputOptions(
  clip: DrawnClip,
  light: { maxCll: number; maxFall: number },
  extension: string,
  interlaced: boolean,
): string[] {
  const options = ['-map', '0:v', ...encodeOptions(clip, light)];
  if (clip.loudness !== null) {
    const sound = extension === '.mp4' ? ['-c:a', 'aac', '-b:a', '160k'] : ['-c:a', 'pcm_s24le'];
    options.push('-map', '1:a', ...sound);
  }
  if (clip.timecode !== null) options.push('-timecode', clip.timecode);
  if (clip.reel !== null) options.push('-metadata:s:v', `reel_name=${clip.reel}`);
  // No dates and no encoder versions: the same clips, byte for byte, from the same ffmpeg.
  options.push('-fflags', '+bitexact', '-flags:v', interlaced ? '+bitexact+ildct' : '+bitexact');
  return options;
}

/** A card reader's idea of a clip: the right name over a run of numbers. */
async function writeUnreadable(path: string): Promise<void> {
  const bytes = new Uint8Array(4096);
  for (let i = 0, state = 1; i < bytes.length; i++) {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    bytes[i] = state >>> 24;
  }
  await writeWhole(path, bytes);
}

async function writeWhole(path: string, content: string | Uint8Array): Promise<void> {
  await mkdir(dirname(path), { recursive: true });
  await writeFile(path, content);
}

function interrupted(cause: unknown): GoodgateError {
  return new GoodgateError('interrupted', {
    what: 'making the demo clips was interrupted',
    next: 'run it again: it starts over',
    cause,
  });
}
