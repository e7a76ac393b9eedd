import { execa } from 'execa';
import { z } from 'zod';
import type { BatchItem } from '../../jobs/plan/batch.js';
import { type PictureTruth, pictureTruth, type SoundTruth, soundTruths } from './decoded-truth.js';
import { held, rateOfTimes, type Statement } from './statements.js';

/** What an independent decode tells of an original, or of what was made of it. */
export interface FileTruth {
  readonly picture: PictureTruth | null;
  readonly sounds: readonly SoundTruth[];
  /** As the container has it; null for none. */
  readonly timecode: string | null;
  /** Of every code of the picture in its own format, by ffmpeg; null where there is none. */
  readonly digest: string | null;
}

const tags = z.object({ tags: z.object({ timecode: z.string().optional() }).default({}) });
const timecodes = z.object({ streams: z.array(tags).default([]), format: tags.optional() });

export async function fileTruth(path: string): Promise<FileTruth> {
  const { stdout } = await execa(
    'ffprobe',
    ['-v', 'quiet', '-of', 'json', '-show_entries', 'stream_tags=timecode:format_tags=timecode', path],
    { reject: false },
  );
  const { streams, format } = timecodes.parse(JSON.parse(stdout === '' ? '{}' : stdout));
  const [timecode = null] = [...streams, ...(format === undefined ? [] : [format])].flatMap(
    (one) => one.tags.timecode ?? [],
  );
  const picture = await pictureTruth(path);
  return { picture, sounds: await soundTruths(path), timecode, digest: await digestOf(path, picture) };
}

/** MD5 of all codes in the format that was decoded, by its plain name: yuvj420p is yuv420p in full range. */
async function digestOf(path: string, picture: PictureTruth | null): Promise<string | null> {
  if (picture === null) return null;
  const { stdout, exitCode } = await execa(
    'ffmpeg',
    [
      ...['-v', 'quiet', '-nostdin', '-noautorotate', '-i', path, '-map', '0:V:0'],
      ...['-pix_fmt', picture.pixelFormat.replace('yuvj', 'yuv'), '-fps_mode', 'passthrough'],
      ...['-c:v', 'rawvideo', '-f', 'md5', '-'],
    ],
    { reject: false },
  );
  return exitCode === 0 ? stdout : null;
}

/** The longer side of a picture as it is shown by the shorter one: a quarter turn changes nothing. */
function shape({ width, height, aspects }: PictureTruth): number {
  const [across = 1, down = 1] = ([...aspects].find((one) => /^[1-9]\d*:[1-9]/.test(one)) ?? '1:1')
    .split(':')
    .map(Number);
  const ratio = (width * across) / (height * down);
  return Math.max(ratio, 1 / ratio);
}

const channels = (sounds: readonly SoundTruth[]): number =>
  sounds.reduce((sum, sound) => sum + sound.channels, 0);

const loudest = (sounds: readonly SoundTruth[]): number =>
  Math.max(Number.NEGATIVE_INFINITY, ...sounds.map(({ peak }) => peak));

/**
 * What was made of a file, held against the file. A statement that the plan takes back itself, by a loss it
 * names, is none.
 */
export function outputStatements(
  { target, word, losses }: BatchItem,
  original: FileTruth,
  made: FileTruth,
): Statement[] {
  const kind = `output, ${target ?? ''}`;
  const loses = (...names: readonly string[]): boolean => losses.some(({ what }) => names.includes(what));
  const isArchive = target?.startsWith('archive') === true;
  const isProxy = target?.startsWith('proxy') === true;
  const statements = [
    ...pictureKept(kind, isArchive, isProxy, loses, original, made),
    ...soundKept(kind, isArchive, isProxy, original.sounds, made.sounds),
    ...(original.timecode === null || (original.picture === null && isArchive)
      ? []
      : [held(`${kind}: timecode`, made.timecode ?? 'none', original.timecode)]),
  ];
  const faults = statements.filter(({ right }) => !right).length;
  return [...statements, held(`${kind}: no wrong pass`, word === 'pass' && faults > 0, false)];
}

function pictureKept(
  kind: string,
  isArchive: boolean,
  isProxy: boolean,
  loses: (...names: readonly string[]) => boolean,
  { picture: original, digest }: FileTruth,
  { picture: made, digest: digestMade }: FileTruth,
): Statement[] {
  if (original === null) return [];
  if (made === null) return [held(`${kind}: picture`, 'none', 'one')];
  const rate = rateOfTimes(original.times);
  const rateMade = rateOfTimes(made.times);
  const tags = (['primaries', 'transfer', 'matrix', 'range'] as const).filter(
    (tag) => original.colour[tag] !== null && original.colour[tag] !== 'gbr',
  );
  return [
    // Frames of uneven length are repeated to an even rate, and none is lost.
    rate === null
      ? held(`${kind}: no frame lost`, made.frames >= original.frames, true)
      : held(`${kind}: frames`, made.frames, original.frames),
    ...(rate === null
      ? []
      : [
          held(
            `${kind}: rate`,
            rateMade ?? 'none',
            rate,
            rateMade !== null && Math.abs(rateMade / rate - 1) < 0.005,
          ),
        ]),
    ...(isProxy
      ? [
          held(
            `${kind}: shape`,
            shape(made).toFixed(3),
            shape(original).toFixed(3),
            // A raster of even numbers of pixels is as much as two pixels out on each side.
            Math.abs(shape(made) / shape(original) - 1) < 2 / made.width + 2 / made.height,
          ),
        ]
      : [
          held(`${kind}: raster`, `${made.width}x${made.height}`, `${original.width}x${original.height}`),
          held(`${kind}: sample aspect`, shape(made).toFixed(4), shape(original).toFixed(4)),
        ]),
    ...(isProxy || loses('rendering')
      ? [held(`${kind}: colour tags`, Object.values(made.colour).join(), 'bt709,bt709,bt709,tv')]
      : tags.map((tag) => held(`${kind}: ${tag}`, made.colour[tag] ?? 'none', original.colour[tag]))),
    ...(isArchive && digest !== null ? [held(`${kind}: every code`, digestMade ?? 'none', digest)] : []),
  ];
}

function soundKept(
  kind: string,
  isArchive: boolean,
  isProxy: boolean,
  original: readonly SoundTruth[],
  made: readonly SoundTruth[],
): Statement[] {
  if (channels(original) === 0) return [];
  const [before, after] = [loudest(original), loudest(made)];
  return [
    held(
      `${kind}: channels`,
      channels(made),
      channels(original),
      channels(made) === channels(original) || (isProxy && channels(made) === 2),
    ),
    // Mixing channels and lossy coding both move a peak: of a proxy it is held only where neither mixed it.
    ...(isProxy && channels(original) > 2
      ? []
      : [
          held(
            `${kind}: peak`,
            after.toFixed(2),
            before.toFixed(2),
            before === after || Math.abs(Math.min(after, 0) - Math.min(before, 0)) < (isProxy ? 1 : 0.011),
          ),
        ]),
    ...(isArchive ? [held(`${kind}: samples`, made[0]?.samples ?? 0, original[0]?.samples ?? 0)] : []),
  ];
}
