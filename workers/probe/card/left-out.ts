import { open } from 'node:fs/promises';
import type { LeftOut, ManifestClip } from '../../../jobs/manifest/manifest.js';
import { isHiddenOrSystem, skipFile } from './scan-rules.js';

/**
 * What cameras write beside their clips, known by what it is and never by who wrote it (common practice, no
 * source): index files, playlists and data that are no media, and copies of clips at low resolution.
 */

/** Names a file of media has: one of these that cannot be read is a clip that is damaged or misnamed. */
const MEDIA = new Set(
  [
    'mov mp4 m4v m4a qt 3gp 3g2 mxf gxf mts m2ts m2t ts tod mod mpg mpeg mpe vob avi divx mkv mka webm wmv asf dv dif',
    'wav wave bwf rf64 w64 aif aiff aifc caf flac mp3 mp2 aac ac3 ec3 ogg oga opus',
    'dpx cin exr tif tiff dng jp2 j2k j2c jpc h264 h265 264 265 hevc avc m2v mpv ivf obu y4m yuv',
  ].flatMap((words) => words.split(' ')),
);
/** Larger than any index or playlist; what is lost in a larger file should be told. */
const MOST_BYTES = 1 << 20;
const HEAD_BYTES = 1_024;

/**
 * Whether a file that cannot be read as media is none: it is not named as media, it does not begin as media
 * does, and it is small. An empty file without an ending may have been anything and is none of these.
 */
export async function isIndexOrData(path: string): Promise<boolean> {
  const { extension } = split(path);
  if (MEDIA.has(extension)) return false;
  const file = await open(path).catch(() => null);
  if (file === null) return false;
  try {
    const { size } = await file.stat();
    if (size > MOST_BYTES || (size === 0 && extension === '')) return false;
    const head = Buffer.alloc(HEAD_BYTES);
    const { bytesRead } = await file.read(head, 0, HEAD_BYTES, 0);
    return !beginsAsMedia(head.subarray(0, bytesRead));
  } catch {
    // A disk that cannot be read is told as such.
    return false;
  } finally {
    await file.close();
  }
}

/**
 * Whether a file that is gone would have been read as a clip, by what a list still says of it: it is named as
 * media, or it is larger than index and data files are, and no rule of scan-rules.ts leaves it out. Pure.
 *
 * @param bytes null where the list does not say
 */
export function wouldBeClip({
  file,
  bytes,
  stemsBeside,
}: {
  file: string;
  bytes: number | null;
  stemsBeside: ReadonlySet<string>;
}): boolean {
  const folders = file.split('/');
  const name = folders.pop() ?? '';
  if (folders.some(isHiddenOrSystem)) return false;
  if (skipFile({ name, folderName: folders.at(-1) ?? '', stemsBeside }) !== null) return false;
  return MEDIA.has(split(file).extension) || (bytes ?? 0) > MOST_BYTES;
}

/** First bytes of containers and picture files, each from its own specification. */
const SIGNATURES: readonly (readonly [offset: number, bytes: string])[] = [
  // ISO base media and MOV (ISO/IEC 14496-12): the type of the first box.
  ...['ftyp', 'moov', 'mdat', 'wide', 'free', 'skip', 'pnot'].map((type) => [4, hex(type)] as const),
  // RIFF, RF64, IFF.
  ...['RIFF', 'RIFX', 'RF64', 'BW64', 'FORM', 'fLaC', 'OggS', 'ID3', 'SDPX', 'XPDS'].map(
    (word) => [0, hex(word)] as const,
  ),
  // MXF (SMPTE ST 377-1), Matroska, MPEG program stream, MPEG video, ASF, OpenEXR, TIFF, JPEG 2000.
  [0, '060e2b34'],
  [0, '1a45dfa3'],
  [0, '000001ba'],
  [0, '000001b3'],
  [0, '3026b275'],
  [0, '762f3101'],
  [0, '49492a00'],
  [0, '4d4d002a'],
  [0, '0000000c6a502020'],
];

function hex(text: string): string {
  return Buffer.from(text, 'latin1').toString('hex');
}

/** MPEG transport stream: a sync byte every 188 bytes, or 192 with a time before each. */
const SYNC = 0x47;
const PACKETS = [
  { first: 0, every: 188 },
  { first: 4, every: 192 },
] as const;

function beginsAsMedia(head: Buffer): boolean {
  const text = head.toString('hex');
  if (SIGNATURES.some(([offset, bytes]) => text.startsWith(bytes, 2 * offset))) return true;
  return PACKETS.some(
    ({ first, every }) =>
      head[first] === SYNC && (head[first + every] ?? SYNC) === SYNC && head.length > first + every,
  );
}

/** A copy has at most so much of the samples of a picture of its clip, and of its bytes. */
const MOST_OF_PICTURE = 0.6;
const MOST_OF_BYTES = 0.7;

/**
 * Clips that are copies of others at low resolution, and which they are copies of. All must agree: the name
 * but for an ending (`C0001` and `C0001S03`) or, in one folder, but for letters before the number; the length
 * to a frame; the start timecode where both have one; the copy has clearly fewer pixels and bytes; and in a
 * folder apart from its clips there is nothing but copies. Where anything is in doubt both are clips: a clip
 * taken for a copy would not be made. Pure.
 */
export function lowResolutionCopies(clips: readonly ManifestClip[]): LeftOut[] {
  const copies = new Map(
    clips.flatMap((clip) => {
      const of = clips
        .filter((other) => other !== clip && isCopy(clip, other))
        .sort((a, b) => pixels(b) - pixels(a))[0];
      return of === undefined ? [] : [[clip.file, of.file] as const];
    }),
  );
  const folderOf = (file: string): string => split(file).folder;
  return [...copies].flatMap(([file, of]) => {
    const beside = clips.filter((clip) => folderOf(clip.file) === folderOf(file));
    const isApart = folderOf(of) !== folderOf(file);
    if (isApart && !beside.every((clip) => copies.has(clip.file))) return [];
    return [{ file, as: 'low-resolution copy', of }];
  });
}

function isCopy(copy: ManifestClip, clip: ManifestClip): boolean {
  const [low, full] = [copy.facts, clip.facts];
  if (!low?.video || !full?.video || !isNamedAfter(copy.file, clip.file)) return false;
  if (pixels(copy) > MOST_OF_PICTURE * pixels(clip) || low.bytes > MOST_OF_BYTES * full.bytes) return false;
  const [a, b] = [low.container.startTimecode, full.container.startTimecode];
  if (a !== null && b !== null && a !== b) return false;
  return isAsLong(low.video, full.video);
}

type Picture = NonNullable<NonNullable<ManifestClip['facts']>['video']>;

/** By frames where the rate is the same, otherwise by time, to a frame of the slower. */
function isAsLong(low: Picture, full: Picture): boolean {
  if (low.frames !== null && full.frames !== null && low.frameRate === full.frameRate) {
    return Math.abs(low.frames - full.frames) <= 1;
  }
  const [a, b] = [low.durationSeconds, full.durationSeconds];
  if (a === null || b === null) return false;
  const frames = [low, full].map(
    ({ durationSeconds, frames: count }) => (durationSeconds ?? 0) / (count ?? 1),
  );
  return Math.abs(a - b) <= Math.max(...frames);
}

function pixels({ facts }: ManifestClip): number {
  return (facts?.video?.width ?? 0) * (facts?.video?.height ?? 0);
}

function isNamedAfter(copy: string, clip: string): boolean {
  const [low, full] = [split(copy), split(clip)];
  if (low.stem === full.stem) return true;
  // `C0001S03` after `C0001`, but not `C00010`.
  if (full.stem.length >= 3 && low.stem.startsWith(full.stem)) {
    return /^[a-z_-]/i.test(low.stem.slice(full.stem.length));
  }
  // `XB010001.x` beside `XA010001.y`: of one folder and number, but another kind of file.
  const number = (stem: string): string => /\d{4,}$/.exec(stem)?.[0] ?? stem;
  return (
    low.folder === full.folder &&
    low.extension !== full.extension &&
    low.stem.length === full.stem.length &&
    number(low.stem) === number(full.stem)
  );
}

function split(path: string): { folder: string; stem: string; extension: string } {
  const at = path.lastIndexOf('/');
  const name = path.slice(at + 1).toLowerCase();
  const dot = name.lastIndexOf('.');
  return {
    folder: path.slice(0, Math.max(0, at)),
    stem: dot <= 0 ? name : name.slice(0, dot),
    extension: dot <= 0 ? '' : name.slice(dot + 1),
  };
}
