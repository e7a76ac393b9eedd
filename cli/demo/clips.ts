import type { ManifestClip } from '../../jobs/manifest/manifest.js';
import type { Waiver } from '../../jobs/verdict/waivers.js';
import type { PictureName } from './pictures.js';

/**
 * The demo's story. "The Last Lamp", a short film: a keeper's last night before his lighthouse is switched to
 * remote control. Two cards come back from the rocks, and a folder of masters from the grade. Some of it is
 * good, and some has the faults that really happen. Film, people and places are invented.
 */
export interface DrawnClip {
  readonly file: string;
  readonly picture: PictureName;
  /** Rate the frames are presented at. */
  readonly rate: string;
  readonly timecode: string | null;
  readonly reel: string | null;
  /** Loudness of the line-up tone, LUFS; null for a mute clip. */
  readonly loudness: number | null;
  /** ffmpeg's options for picture and file; sound is PCM in MOV and MKV, AAC in MP4. */
  readonly encode: readonly string[];
  /** Filters between the drawn frames and the encoder. */
  readonly filters?: readonly string[];
  /** The colour the file declares. */
  readonly tags: ColourTag;
  /** Part of the finished file that reached the disk. */
  readonly keep?: number;
  /** Light level the HDR master declares: the drawn one, or these wrong figures. */
  readonly lightLevel?: 'true' | { readonly maxCll: number; readonly maxFall: number };
  /** What a person accepted in this very file. */
  readonly waived?: Omit<Waiver, 'sha256'>;
  readonly wanted: Omit<ManifestClip, 'file' | 'facts'>;
}

/**
 * ST 2086 mastering display of the HDR masters: P3-D65 primaries, 1000 cd/m2 (chromaticities in units of
 * 0.00002).
 */
const MASTERING = 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)';
export const TARGETS = {
  intermediate10: 'intermediate-422-10',
  intermediate12: 'intermediate-444-12',
  proxy: 'proxy-h264',
  review: 'review-hevc-10',
  archive: 'archive-ffv1',
  hdSdr: 'hd-sdr-master',
} as const;

const PRORES_HQ = ['-c:v', 'prores_ks', '-profile:v', '3'];

type ColourTag = 'log' | 'bt709' | 'hlg' | 'pq' | 'none';

/** Set on the frames: the ProRes encoder takes its tags from there and ignores the encoder's own options. */
const TAG_FILTERS: Readonly<Record<ColourTag, readonly string[]>> = {
  none: [],
  // Like most cameras: the matrix is told, the curve is not.
  log: ['setparams=range=tv:colorspace=bt709'],
  bt709: ['setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709'],
  hlg: ['setparams=range=tv:color_primaries=bt2020:color_trc=arib-std-b67:colorspace=bt2020nc'],
  pq: ['setparams=range=tv:color_primaries=bt2020:color_trc=smpte2084:colorspace=bt2020nc'],
};

const PHONE = ['-c:v', 'libx264', '-preset', 'veryfast', '-crf', '20'];

/** Lossless, so that the light drawn is the light in the file and the true metadata is really true. */
function hevcPq(lightLevel: string): string[] {
  const params = [
    'lossless=1:log-level=error:repeat-headers=1:hdr10=1:range=limited',
    'colorprim=bt2020:transfer=smpte2084:colormatrix=bt2020nc',
    `master-display=${MASTERING}:max-cll=${lightLevel}`,
  ].join(':');
  return ['-c:v', 'libx265', '-preset', 'ultrafast', '-tag:v', 'hvc1', '-x265-params', params];
}

/** Options of a clip; HDR static metadata is known only once the picture is drawn. */
export function encodeOptions(
  clip: DrawnClip,
  drawn: { maxCll: number; maxFall: number },
): readonly string[] {
  const filters = [...(clip.filters ?? []), 'setsar=1', ...TAG_FILTERS[clip.tags]];
  const filtering = ['-vf', filters.join(',')];
  if (!clip.lightLevel) return [...filtering, ...clip.encode];
  const { maxCll, maxFall } = clip.lightLevel === 'true' ? drawn : clip.lightLevel;
  return [...filtering, ...hevcPq(`${Math.round(maxCll)},${Math.round(maxFall)}`)];
}

const SLOG3 = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709', range: 'narrow' } as const;
const LOOK = 'looks/last-lamp-night.cube';
const DAILIES = [TARGETS.intermediate10, TARGETS.proxy];

function cardA(part: Partial<DrawnClip> & Pick<DrawnClip, 'file' | 'picture' | 'timecode'>): DrawnClip {
  return {
    rate: '25/1',
    reel: 'A001',
    loudness: -23,
    encode: PRORES_HQ,
    tags: 'log',
    wanted: { reel: 'A001', colour: SLOG3, look: LOOK, targets: DAILIES },
    ...part,
  };
}

function cardB(part: Partial<DrawnClip> & Pick<DrawnClip, 'file' | 'picture' | 'encode'>): DrawnClip {
  return {
    rate: '25/1',
    timecode: null,
    reel: 'B001',
    loudness: -20,
    tags: 'bt709',
    wanted: { reel: 'B001', targets: [TARGETS.proxy] },
    ...part,
  };
}

function master(part: Partial<DrawnClip> & Pick<DrawnClip, 'file' | 'picture' | 'wanted'>): DrawnClip {
  return {
    rate: '25/1',
    timecode: '10:00:00:00',
    reel: null,
    loudness: -23,
    encode: PRORES_HQ,
    tags: 'bt709',
    ...part,
  };
}

const WALL = { targets: ['targets/harbour-wall-sdr.yaml'] };

export const DRAWN_CLIPS: readonly DrawnClip[] = [
  cardA({ file: 'A001/A001C001.mov', picture: 'nightLog', timecode: '21:14:08:00' }),
  cardA({
    file: 'A001/A001C002.mov',
    picture: 'roomLog',
    timecode: '21:31:40:12',
    wanted: {
      reel: 'A001',
      colour: SLOG3,
      look: LOOK,
      exposure: 1,
      targets: [...DAILIES, TARGETS.review],
    },
  }),
  // Across a minute, so the drop-frame count must skip two numbers in the middle of the clip.
  cardA({ file: 'A001/A001C003.mov', picture: 'nightLog', rate: '30000/1001', timecode: '21:59:59;10' }),
  // The reader lost power before the copy was done: the header promises frames that are not there.
  cardA({
    file: 'A001/A001C004.mov',
    picture: 'roomLog',
    timecode: '22:08:03:05',
    encode: [...PRORES_HQ, '-movflags', '+faststart'],
    keep: 0.55,
  }),
  cardB({
    file: 'B001/B001C001.mov',
    picture: 'roomLog12',
    timecode: '21:32:00:00',
    encode: ['-c:v', 'cfhd', '-quality', 'film3+'],
    tags: 'none',
    wanted: {
      reel: 'B001',
      colour: { transfer: 'LogC3', primaries: 'AWG3', matrix: 'gbr', range: 'full' },
      targets: [TARGETS.intermediate12, TARGETS.proxy],
    },
  }),
  cardB({
    file: 'B001/B001C002 interlaced.mov',
    picture: 'harbourFields',
    timecode: '16:40:00:00',
    encode: PRORES_HQ,
    filters: ['setfield=tff'],
    wanted: { reel: 'B001', targets: [TARGETS.archive, TARGETS.proxy] },
  }),
  cardB({ file: `B001/-02 «маяк» 'last' "lamp" 夜景 100%.mp4`, picture: 'harbour8', encode: PHONE }),
  // A small camera in failing light drops every seventh frame and says so only in its time stamps. It drops
  // the first one too, so that its sound begins before its picture.
  cardB({
    file: 'B001/boat [variable rate].mp4',
    picture: 'harbour8',
    encode: [...PHONE, '-fps_mode', 'vfr'],
    filters: [String.raw`select='mod(n\,7)'`],
  }),
  master({
    file: 'masters/last-lamp HD.mov',
    picture: 'nightSdr',
    filters: ['scale=1920:1080:flags=bicubic'],
    wanted: { targets: [TARGETS.hdSdr] },
  }),
  master({ file: 'masters/last-lamp wall.mov', picture: 'nightSdr', wanted: WALL }),
  master({ file: 'masters/last-lamp wall loud.mov', picture: 'nightSdr', loudness: -16, wanted: WALL }),
  master({ file: 'masters/last-lamp wall trailer.mov', picture: 'nightHot', wanted: WALL }),
  master({
    file: 'masters/last-lamp wall insert.mov',
    picture: 'room8in10',
    // Lossless, or the coding noise would hide that the two lowest bits are always zero.
    encode: ['-c:v', 'libx264', '-qp', '0', '-preset', 'ultrafast'],
    waived: {
      finding: 'bit-depth',
      target: 'harbour-wall-sdr',
      by: 'I. Marrow, producer',
      why: 'Home video of the lamp room, shot in 8 bits: there is nothing better',
      until: '2099-12-31',
    },
    wanted: WALL,
  }),
  // The next reel was laid six frames late, and nothing is between the two.
  master({
    file: 'masters/last-lamp wall reel change.mov',
    picture: 'nightSdr',
    filters: ["drawbox=t=fill:c=black:enable='between(n,18,23)'"],
    wanted: WALL,
  }),
  master({
    file: 'masters/last-lamp PQ.mov',
    picture: 'nightPq',
    encode: [],
    tags: 'pq',
    lightLevel: 'true',
    wanted: { targets: ['targets/harbour-wall-pq.yaml'] },
  }),
  // Light level typed over from another film.
  master({
    file: 'masters/last-lamp PQ v2.mov',
    picture: 'nightPq',
    encode: [],
    tags: 'pq',
    lightLevel: { maxCll: 620, maxFall: 180 },
    wanted: { targets: ['targets/harbour-wall-pq.yaml'] },
  }),
  master({
    file: 'masters/last-lamp HLG.mov',
    picture: 'roomHlg',
    tags: 'hlg',
    wanted: { targets: ['targets/harbour-wall-hlg.yaml'] },
  }),
];

/** A file that is no clip at all, whatever its name says. */
export const UNREADABLE_FILE = 'B001/B001C003.mov';
