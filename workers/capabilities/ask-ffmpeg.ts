import { createHash } from 'node:crypto';
import { mkdir, readFile, rename, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import type { z } from 'zod';
import { PICTURE_CODECS } from '../../jobs/codecs/picture-codecs.js';
import { SOUND_CODECS } from '../../jobs/codecs/sound-codecs.js';
import { GoodgateError } from '../../jobs/errors.js';
import { type Capabilities, capabilities } from '../../jobs/plan/capabilities.js';
import { queryFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../ffmpeg/tools.js';
import { findFont } from './find-font.js';
import {
  readEncoderNames,
  readFilterNames,
  readMuxerNames,
  readPixelFormats,
  readVersion,
} from './read-lists.js';

/** The encoders outputs are made with; others are not asked about. */
const ENCODERS: readonly string[] = [
  ...PICTURE_CODECS.map(({ encoder }) => encoder),
  ...SOUND_CODECS.map(({ name }) => name),
];

export interface AskOptions {
  /** Folder to remember the answers in; they are asked anew when ffmpeg changes. */
  readonly cacheFolder?: string | undefined;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
}

/**
 * What this machine's ffmpeg can do, asked of ffmpeg itself. Throws GoodgateError `missing-tool` when ffmpeg
 * or ffprobe cannot be started.
 */
export async function askCapabilities(options: AskOptions = {}): Promise<Capabilities> {
  const [ffmpegText, ffprobeText] = await Promise.all([
    queryFfmpeg(['-version'], options.tools),
    askFfprobeVersion(options.tools?.ffprobe ?? 'ffprobe'),
  ]);
  // Of another version of goodgate the answers may lack an encoder that this one makes outputs with.
  const asking = [ffmpegText, ffprobeText, ...ENCODERS].join('\n');
  const key = createHash('sha256').update(asking).digest('hex').slice(0, 16);
  const cache = options.cacheFolder === undefined ? null : join(options.cacheFolder, `ffmpeg-${key}.json`);
  const site = { fontFile: await findFont(), cores: availableParallelism() };

  const remembered = cache === null ? null : await readCache(cache);
  if (remembered !== null) return { ...remembered, ...site };

  const asked = {
    ffmpegVersion: readVersion(ffmpegText) ?? 'unknown',
    ffprobeVersion: readVersion(ffprobeText) ?? 'unknown',
    ...(await askLists(options.tools)),
  };
  if (cache !== null) await writeCache(cache, asked);
  return { ...asked, ...site };
}

const remembering = capabilities.omit({ fontFile: true, cores: true });
type Remembered = z.infer<typeof remembering>;

async function askLists(
  tools: Tools | undefined,
): Promise<Pick<Remembered, 'encoders' | 'filters' | 'muxers'>> {
  const [encoders, filters, muxers] = await Promise.all([
    queryFfmpeg(['-encoders'], tools),
    queryFfmpeg(['-filters'], tools),
    queryFfmpeg(['-muxers'], tools),
  ]);
  const listed = new Set(readEncoderNames(encoders));
  const present = ENCODERS.filter((name) => listed.has(name));
  const described = await Promise.all(
    present.map(
      async (name) => [name, readPixelFormats(await queryFfmpeg(['-h', `encoder=${name}`], tools))] as const,
    ),
  );
  return {
    encoders: Object.fromEntries(described),
    filters: readFilterNames(filters),
    muxers: readMuxerNames(muxers),
  };
}

async function askFfprobeVersion(ffprobePath: string): Promise<string> {
  try {
    return (await execa(ffprobePath, ['-version'], { stdin: 'ignore', timeout: 30_000 })).stdout;
  } catch (cause) {
    throw new GoodgateError('missing-tool', {
      what: 'ffprobe could not be started',
      where: ffprobePath,
      next: 'install ffmpeg 5.1 or newer (ffprobe comes with it); `goodgate doctor` shows what this machine has',
      cause,
    });
  }
}

/** A cache that is missing, damaged or of another form is as good as none. */
async function readCache(path: string): Promise<Remembered | null> {
  try {
    return remembering.parse(JSON.parse(await readFile(path, 'utf8')));
  } catch {
    return null;
  }
}

/** Remembering is a convenience: a folder that cannot be written only costs time. */
async function writeCache(path: string, asked: Remembered): Promise<void> {
  const temporary = `${path}.${process.pid}.part`;
  try {
    await mkdir(join(path, '..'), { recursive: true });
    await writeFile(temporary, JSON.stringify(asked));
    await rename(temporary, path);
  } catch {
    // Asked again next time.
  }
}
