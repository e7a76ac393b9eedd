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
  /** Rate the frames are presented at; 25/1 where left out. */
  readonly rate?: string;
  readonly timecode?: string;
  readonly reel?: string;
  /** Loudness of the line-up tone, LUFS. */
  readonly loudness: number;
  /** ffmpeg's options for picture and file; sound is PCM in MOV, AAC in MP4. */
  readonly encode: readonly string[];
  /** Filters between the code values and the encoder. */
  readonly filters?: readonly string[];
  /** Part of the finished file that reached the disk. */
  readonly keep?: number;
  /** Light level the HDR master declares: the drawn one, or these wrong figures. */
  readonly lightLevel?: 'true' | { readonly maxCll: number; readonly maxFall: number };
  /** What a person accepted in this very file. */
  readonly waived?: Omit<Waiver, 'sha256'>;
  readonly wanted: Omit<ManifestClip, 'file' | 'facts'>;
}

const PRORES_HQ = ['-c:v', 'prores_ks', '-profile:v', '3'];
const PHONE = ['-pix_fmt', 'yuv420p', '-c:v', 'libx264', '-preset', 'veryfast', '-crf', '20'];

const SLOG3 = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709', range: 'narrow' } as const;
const LOG_WANTED = {
  reel: 'A001',
  colour: SLOG3,
  look: 'looks/last-lamp-night.cube',
  targets: ['intermediate-422-10', 'proxy-h264'],
};
const CARD_A = { reel: 'A001', loudness: -23, encode: PRORES_HQ, wanted: LOG_WANTED };
const CARD_B = {
  reel: 'B001',
  loudness: -20,
  encode: PHONE,
  wanted: { reel: 'B001', targets: ['proxy-h264'] },
};
const MASTER = { timecode: '10:00:00:00', loudness: -23, encode: PRORES_HQ };
const SDR = {
  ...MASTER,
  picture: 'nightSdr' as const,
  wanted: { targets: ['targets/harbour-wall-sdr.yaml'] },
};
const PQ = { ...MASTER, picture: 'nightPq' as const, wanted: { targets: ['targets/harbour-wall-pq.yaml'] } };

export const DRAWN_CLIPS: readonly DrawnClip[] = [
  { ...CARD_A, file: 'A001/A001C001.mov', picture: 'nightLog', timecode: '21:14:08:00' },
  {
    ...CARD_A,
    file: 'A001/A001C002.mov',
    picture: 'roomLog',
    timecode: '21:31:40:12',
    wanted: { ...LOG_WANTED, exposure: 1, targets: [...LOG_WANTED.targets, 'review-hevc-10'] },
  },
  // Across a minute, so the drop-frame count must skip two numbers in the middle of the clip.
  {
    ...CARD_A,
    file: 'A001/A001C003.mov',
    picture: 'nightLog',
    rate: '30000/1001',
    timecode: '21:59:59;10',
  },
  // The reader lost power before the copy was done: the header promises frames that are not there.
  {
    ...CARD_A,
    file: 'A001/A001C004.mov',
    picture: 'roomLog',
    timecode: '22:08:03:05',
    encode: [...PRORES_HQ, '-movflags', '+faststart'],
    keep: 0.55,
  },
  {
    ...CARD_B,
    file: 'B001/B001C001.mov',
    picture: 'roomLog12',
    timecode: '21:32:00:00',
    encode: ['-c:v', 'cfhd', '-quality', 'film3+'],
    wanted: {
      reel: 'B001',
      colour: { transfer: 'LogC3', primaries: 'AWG3', matrix: 'gbr', range: 'full' },
      targets: ['intermediate-444-12', 'proxy-h264'],
    },
  },
  {
    ...CARD_B,
    file: 'B001/B001C002 interlaced.mov',
    picture: 'harbour',
    timecode: '16:40:00:00',
    encode: [...PRORES_HQ, '-flags:v', '+ildct'],
    filters: ['interlace=scan=tff:lowpass=off'],
    wanted: { reel: 'B001', targets: ['archive-ffv1', 'proxy-h264'] },
  },
  {
    ...CARD_B,
    file: `B001/-02 «маяк» 'last' "lamp" 夜景 100%.mp4`,
    picture: 'harbour',
    filters: ['framestep=2'],
  },
  // A small camera in failing light drops every seventh frame and says so only in its time stamps. It drops
  // the first one too, so that its sound begins before its picture.
  {
    ...CARD_B,
    file: 'B001/boat [variable rate].mp4',
    picture: 'harbour',
    encode: [...PHONE, '-fps_mode', 'vfr'],
    filters: ['framestep=2', String.raw`select='mod(n\,7)'`],
  },
  {
    ...SDR,
    file: 'masters/last-lamp HD.mov',
    filters: ['scale=1920:1080:flags=bicubic'],
    wanted: { targets: ['hd-sdr-master'] },
  },
  { ...SDR, file: 'masters/last-lamp wall.mov' },
  { ...SDR, file: 'masters/last-lamp wall loud.mov', loudness: -16 },
  { ...SDR, file: 'masters/last-lamp wall trailer.mov', picture: 'nightHot' },
  {
    ...SDR,
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
  },
  // The next reel was laid six frames late, and nothing is between the two.
  {
    ...SDR,
    file: 'masters/last-lamp wall reel change.mov',
    filters: ["drawbox=t=fill:c=black:enable='between(n,18,23)'"],
  },
  { ...PQ, file: 'masters/last-lamp PQ.mov', lightLevel: 'true' },
  // Light level typed over from another film.
  { ...PQ, file: 'masters/last-lamp PQ v2.mov', lightLevel: { maxCll: 620, maxFall: 180 } },
  {
    ...MASTER,
    file: 'masters/last-lamp HLG.mov',
    picture: 'roomHlg',
    wanted: { targets: ['targets/harbour-wall-hlg.yaml'] },
  },
];

/** A file that is no clip at all, whatever its name says. */
export const UNREADABLE_FILE = 'B001/B001C003.mov';
