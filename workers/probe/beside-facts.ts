import type { OtherStream } from '../../jobs/manifest/facts.js';
import type { ProbedFile, ProbedStream, SideData } from './ffprobe-output.js';
import { IXML_KEY } from './wave/known-ixml.js';

export function isCover(stream: ProbedStream): boolean {
  return stream.disposition?.attached_pic === true;
}

/**
 * Facts of a stream that is neither the picture nor sound. `hasChapters`: in MOV a text track then has their
 * titles.
 */
export function otherStreamOf(stream: ProbedStream, hasChapters: boolean): OtherStream {
  const tag = stream.codec_tag_string ?? '';
  const codec = stream.codec_name ?? (/^\w{4}$/.test(tag) ? tag : 'unknown');
  return { stream: stream.index, kind: kindOf(stream, tag, hasChapters), codec };
}

function kindOf(stream: ProbedStream, tag: string, hasChapters: boolean): OtherStream['kind'] {
  if (isCover(stream)) return 'cover';
  if (tag === 'tmcd') return 'timecode';
  switch (stream.codec_type) {
    case 'video':
      return 'picture';
    case 'subtitle':
      return stream.codec_name === 'eia_608' ? 'captions' : 'subtitles';
    case 'attachment':
      return 'attachment';
    default:
      return hasChapters && stream.codec_name === 'bin_data' && tag === 'text' ? 'chapters' : 'data';
  }
}

/**
 * Tags about the container or the muxer, and tags that have keys of their own: no description of the clip.
 */
const TECHNICAL: ReadonlySet<string> = new Set([
  ...['major_brand', 'minor_version', 'compatible_brands', 'encoder', 'encoding_tool', 'duration'],
  IXML_KEY,
  ...['timecode', 'reel_name', 'reel', 'reel_number', 'handler_name', 'vendor_id', 'alpha_mode'],
]);

/**
 * Descriptive metadata of the file, and language and title of its tracks by kind and number: the stream index
 * may differ in a copy. Names in lower case, since Matroska writes them in capitals; an entry that only
 * repeats a value under a language (`location-eng`) is left out.
 */
export function descriptiveTags({ format, streams }: ProbedFile): Record<string, string> {
  const found: Record<string, string> = {};
  const all = Object.entries(format?.tags ?? {}).map(([name, value]) => [name.toLowerCase(), value] as const);
  const values = new Map(all);
  for (const [name, value] of all) {
    const plain = name.replace(/-[a-z]{3}$/, '');
    const isRepeated = plain !== name && values.get(plain) === value;
    if (!TECHNICAL.has(name) && !isRepeated && value.trim() !== '') found[name] = value;
  }
  const places = new Map<string, number>();
  for (const { codec_type: kind = 'data', tags } of streams) {
    const place = places.get(kind) ?? 0;
    places.set(kind, place + 1);
    if (kind !== 'video' && kind !== 'audio' && kind !== 'subtitle') continue;
    for (const [name, value] of Object.entries(tags)) {
      const plain = name.toLowerCase();
      if (plain !== 'language' && plain !== 'title') continue;
      if (value.trim() !== '' && value !== 'und') found[`${kind}[${place}] ${plain}`] = value;
    }
  }
  return found;
}

export interface PictureExtras {
  readonly dynamicHdr: string[];
  readonly iccProfile: boolean;
  readonly captions: boolean;
}

/** What the picture carries with it, from side data of the stream and of the first frames. */
export function pictureExtras(sideData: readonly SideData[]): PictureExtras {
  const types = new Set(sideData.map(({ side_data_type: type = '' }) => type));
  const has = (words: RegExp): boolean => [...types].some((type) => words.test(type));
  return {
    dynamicHdr: DYNAMIC_HDR.filter(([words]) => has(words)).map(([, name]) => name),
    iccProfile: has(/^ICC profile/i),
    captions: has(/A\/?53|closed captions/i),
  };
}

const DYNAMIC_HDR: readonly (readonly [RegExp, string])[] = [
  [/2094-40/, 'SMPTE ST 2094-40'],
  [/2094-10|DOVI|\bRPU\b/i, 'SMPTE ST 2094-10'],
  [/vivid/i, 'dynamic metadata of CUVA 005.1'],
];
