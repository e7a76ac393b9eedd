import { randomUUID } from 'node:crypto';
import { mkdir, rename, rm, stat, truncate } from 'node:fs/promises';
import { basename, dirname, extname, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import { atOnce } from '../../workers/at-once.js';
import { writeWhole } from '../../workers/batch/write-whole.js';
import type { FfmpegInput } from '../../workers/ffmpeg/command.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import { hashFile } from '../../workers/file/hash-file.js';
import { writeWaiver } from '../../workers/judge/write-waiver.js';
import { DRAWN_CLIPS, type DrawnClip, UNREADABLE_FILE } from './clips.js';
import { DEMO_MANIFEST, demoDocuments } from './documents.js';
import { DRAWN_FORMAT, type DrawnLight, drawFrames } from './draw-frames.js';
import { nearestCodedNits, PICTURES, pqNits } from './pictures.js';

/** Of each clip. */
const FRAMES = 40;

export interface DemoClipsOptions {
  /** Called after each clip: how many stand, of how many, and the one just made. */
  readonly onProgress?: ((done: number, total: number, file: string) => void) | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Only some of the demo's clips; all of them when left out. */
  readonly clips?: readonly DrawnClip[] | undefined;
}

/**
 * Makes the demo's cards, masters, look, targets and manifest (`demo.yaml`) below `folder`. The manifest is
 * written last: where it stands, everything else does.
 *
 * Throws GoodgateError `ffmpeg-failed` when a clip cannot be made, `interrupted` when the signal aborts.
 */
export async function makeDemoClips(folder: string, options: DemoClipsOptions = {}): Promise<void> {
  const { clips = DRAWN_CLIPS, signal } = options;
  const scratch = join(folder, `.drawing-${randomUUID()}`);
  const total = clips.length + 1;
  let done = 0;
  const made = (file: string) => options.onProgress?.(++done, total, file);
  await mkdir(scratch, { recursive: true });
  try {
    await writeWhole(join(folder, UNREADABLE_FILE), 'No clip, whatever its name says. '.repeat(99));
    made(UNREADABLE_FILE);
    // Drawing runs here and encoding in ffmpeg: a second picture is drawn while the first one is encoded.
    await atOnce(2, new Set(clips.map((clip) => clip.picture)), async (picture) => {
      const drawing = join(scratch, `${picture}.raw`);
      const drawn = await drawFrames(drawing, PICTURES[picture], FRAMES, signal);
      const light = { maxCll: nearestCodedNits(pqNits(drawn.maxCll)), maxFall: pqNits(drawn.maxFall) };
      for (const clip of clips) {
        if (clip.picture !== picture) continue;
        await makeClip(clip, drawing, light, join(folder, clip.file), signal);
        made(clip.file);
      }
      await rm(drawing);
    });
    for (const [path, text] of demoDocuments()) await writeWhole(join(folder, path), text);
  } catch (error) {
    if (!signal?.aborted) throw error;
    throw new GoodgateError('interrupted', {
      what: 'making the demo clips was interrupted',
      next: 'run it again: it starts over',
      cause: error,
    });
  } finally {
    await rm(scratch, { recursive: true, force: true });
  }
}

/** True when a folder already holds a finished set of demo clips. */
export async function hasDemoClips(folder: string): Promise<boolean> {
  const manifest = await stat(join(folder, DEMO_MANIFEST)).catch(() => null);
  return manifest?.isFile() ?? false;
}

async function makeClip(
  clip: DrawnClip,
  drawing: string,
  light: DrawnLight,
  path: string,
  signal: AbortSignal | undefined,
): Promise<void> {
  const unfinished = join(dirname(drawing), basename(path));
  const [num = 25, den = 1] = (clip.rate ?? '25/1').split('/').map(Number);
  const drawnRate = `${num * PICTURES[clip.picture].perFrame}/${den}`;
  const picture = { path: drawing, options: [...DRAWN_FORMAT, '-framerate', drawnRate] };
  const inputs = [picture, tone(clip.loudness, (FRAMES * den) / num)];
  const result = await runFfmpeg(
    { inputs, outputs: [{ path: unfinished, options: outputOptions(clip, light) }] },
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
  await mkdir(dirname(path), { recursive: true });
  await rename(unfinished, path);
  if (clip.waived !== undefined) {
    await writeWaiver(path, { ...clip.waived, sha256: await hashFile(path, { signal }) });
  }
}

/**
 * Stereo line-up tone. A 997 Hz sine on both channels peaking at L dBFS measures L LUFS: BS.1770 weighs it by
 * +0.691 dB, takes 0.691 dB off again, and the two half-power channels add up to the power of one (EBU Tech
 * 3341, test case 1 uses the same identity at 1 kHz).
 */
export function tone(loudness: number, seconds: number): FfmpegInput {
  const sine = `${10 ** (loudness / 20)}*sin(2*PI*997*t)`;
  return { path: `aevalsrc=${sine}|${sine}:s=48000:d=${seconds}`, options: ['-f', 'lavfi'] };
}

function outputOptions(clip: DrawnClip, light: DrawnLight): string[] {
  const filters = [...PICTURES[clip.picture].coding, ...(clip.filters ?? []), 'setsar=1'];
  const picture = clip.lightLevel
    ? hevcPq(clip.lightLevel === 'true' ? light : clip.lightLevel)
    : clip.encode;
  const sound = extname(clip.file) === '.mp4' ? ['-c:a', 'aac', '-b:a', '160k'] : ['-c:a', 'pcm_s24le'];
  const options = ['-map', '0:v', '-map', '1:a', '-vf', filters.join(','), ...picture, ...sound];
  if (clip.timecode !== undefined) options.push('-timecode', clip.timecode);
  if (clip.reel !== undefined) options.push('-metadata:s:v', `reel_name=${clip.reel}`);
  // No dates and no encoder versions: the same clips, byte for byte, from the same ffmpeg.
  return [...options, '-bitexact'];
}

/** ST 2086 mastering display: P3-D65 primaries, 1000 cd/m2 (chromaticities in units of 0.00002). */
const MASTERING = 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)';

/** Lossless, so that the light drawn is the light in the file and the true metadata is really true. */
function hevcPq({ maxCll, maxFall }: DrawnLight): string[] {
  const params = [
    'lossless=1:log-level=error:repeat-headers=1:hdr10=1:range=limited',
    'colorprim=bt2020:transfer=smpte2084:colormatrix=bt2020nc',
    `master-display=${MASTERING}:max-cll=${Math.round(maxCll)},${Math.round(maxFall)}`,
  ];
  const encoder = ['-c:v', 'libx265', '-preset', 'ultrafast', '-tag:v', 'hvc1'];
  return [...encoder, '-x265-params', params.join(':')];
}
