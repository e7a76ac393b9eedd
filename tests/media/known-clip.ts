import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';

/**
 * Clips whose every code is known: frames are given as planes of codes, written raw, and packed by ffmpeg
 * with a codec that gives them back as they are (FFV1 unless said otherwise).
 */
export interface KnownClip {
  readonly width: number;
  readonly height: number;
  /** ffmpeg's name of the planar format the planes are in. */
  readonly pixelFormat: string;
  /** Planes of each frame, in ffmpeg's order (Y, Cb, Cr or G, B, R). */
  readonly frames: readonly (readonly (readonly number[])[])[];
  readonly rate?: string;
  /** H.273 names as ffmpeg spells them. */
  readonly colour?: {
    readonly primaries?: string;
    readonly transfer?: string;
    readonly matrix?: string;
    readonly range?: 'tv' | 'pc';
  };
  /** Options before the output: codec and whatever else. */
  readonly encode?: readonly string[];
  /** lavfi sources of sound, one stream each. */
  readonly sound?: readonly string[];
  readonly timecode?: string;
}

const SIXTEEN_BIT = /(?:9|1\d)(?:le)?$/;

export function packFrames(clip: Pick<KnownClip, 'pixelFormat' | 'frames'>): Buffer {
  const codes = clip.frames.flat(2);
  if (!SIXTEEN_BIT.test(clip.pixelFormat)) return Buffer.from(Uint8Array.from(codes));
  return Buffer.from(Uint16Array.from(codes).buffer);
}

/** Writes a clip at `path`; the extension chooses the container. */
export async function writeKnownClip(path: string, clip: KnownClip): Promise<void> {
  const raw = `${path}.raw`;
  await writeFile(raw, packFrames(clip));
  const rate = clip.rate ?? '25';
  const { primaries, transfer, matrix, range } = clip.colour ?? {};
  const tags = [
    ...(primaries ? ['-color_primaries', primaries] : []),
    ...(transfer ? ['-color_trc', transfer] : []),
    ...(matrix ? ['-colorspace', matrix] : []),
    ...(range ? ['-color_range', range] : []),
  ];
  const sources = (clip.sound ?? []).flatMap((source) => ['-f', 'lavfi', '-i', source]);
  const maps = (clip.sound ?? []).flatMap((_, i) => ['-map', String(i + 1)]);
  const args = [
    ...['-hide_banner', '-nostdin', '-y', '-loglevel', 'error'],
    ...['-f', 'rawvideo', '-pix_fmt', clip.pixelFormat, '-video_size', `${clip.width}x${clip.height}`],
    ...['-framerate', rate, '-i', `file:${raw}`, ...sources, '-map', '0', ...maps],
    ...(clip.encode ?? ['-c:v', 'ffv1', '-level', '3', '-slicecrc', '1', '-c:a', 'pcm_s24le']),
    ...tags,
    ...(clip.timecode ? ['-timecode', clip.timecode] : []),
    `file:${path}`,
  ];
  await execa('ffmpeg', args, { stdin: 'ignore' });
  await rm(raw);
}

/** A plane of one code. */
export function flat(code: number, samples: number): number[] {
  return new Array<number>(samples).fill(code);
}

/** A folder of its own for a test file, and how to be rid of it. */
export async function temporaryFolder(): Promise<{ path: string; remove: () => Promise<void> }> {
  const path = await mkdtemp(join(tmpdir(), 'goodgate-test-'));
  return { path, remove: () => rm(path, { recursive: true, force: true }) };
}
