import type { Coding, ContainerTrack, Layer, Wrapper } from '../../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count, grouped } from '../../../jobs/words/numbers.js';
import { bitRate } from '../../../jobs/words/quantities.js';
import { duration } from '../../../jobs/words/times.js';
import type { Row } from './row.js';

/** ffmpeg lists every name of a family it cannot tell apart by the reader alone; people know two. */
function containerName(format: string): string {
  if (format.startsWith('mov,mp4,')) return 'MOV or MP4';
  return format.startsWith('matroska,') ? 'Matroska or WebM' : format;
}

/** The file around the samples: container, timecode, edit lists. */
export function fileRows({ file, container, wrapper }: Measurement): Row[] {
  const rows: Row[] = [['Container', [containerName(container.format), ...wrapperWords(wrapper)].join('; ')]];
  if (container.durationSeconds !== null) rows.push(['Duration', duration(container.durationSeconds)]);
  rows.push(['Timecode', timecodeText(container.startTimecode, wrapper)]);
  if (container.reel !== null) rows.push(['Reel', container.reel]);
  const { slate } = container;
  if (slate?.scene != null) rows.push(['Scene', slate.scene]);
  if (slate?.take != null) rows.push(['Take', slate.take]);
  if (slate?.note != null) rows.push(['Note', slate.note]);
  const edits = wrapper === null ? null : editText(wrapper.tracks);
  if (edits !== null) rows.push(['Edit lists', edits]);
  if (file.hash !== null) rows.push([`Hash (${file.hash.format})`, file.hash.value]);
  return rows;
}

function wrapperWords(wrapper: Wrapper | null): string[] {
  if (wrapper === null) return [];
  const { brand, indexFirst, fragments, trailingBytes } = wrapper;
  const words: string[] = [];
  if (brand !== null) words.push(`brand ${brand.trim()}`);
  if (indexFirst !== null) words.push(indexFirst ? 'index in front' : 'index at the end');
  if (fragments !== null && fragments > 0) words.push(count(fragments, 'fragment'));
  if (trailingBytes !== null && trailingBytes > 0)
    words.push(`${count(trailingBytes, 'byte')} after the last box`);
  return words;
}

function timecodeText(start: string | null, wrapper: Wrapper | null): string {
  const track = wrapper?.timecode ?? null;
  const from = start ?? track?.start ?? null;
  const begins = from === null ? 'none' : `starts at ${from}`;
  if (track === null) return begins;
  const [jump] = track.jumps;
  const jumps =
    jump === undefined
      ? 'runs on without a jump'
      : `${count(track.jumps.length, 'jump')}, first before frame ${jump.frame}`;
  const other = track.start !== null && track.start !== from ? ` from ${track.start}` : '';
  return `${begins}; track${other} at ${track.frameRate}, ${track.dropFrame ? 'drop' : 'non-drop'} frame, ${count(track.frames, 'frame')}, ${jumps}`;
}

/** What edit lists shift and hide; null where the container knows no such thing. */
function editText(tracks: readonly ContainerTrack[]): string | null {
  const told = tracks.filter(({ kind }) => kind === 'video' || kind === 'audio');
  if (!told.some(({ edits }) => edits !== null)) return null;
  const words = told.flatMap(({ kind, edits, startSeconds }) => {
    if (edits === null || edits.length === 0) return [];
    const played = edits.filter(({ mediaStartSeconds }) => mediaStartSeconds !== null);
    const [first] = played;
    const parts: string[] = [];
    if (startSeconds !== null && startSeconds !== 0) parts.push(`begins at ${duration(startSeconds)}`);
    if (first?.mediaStartSeconds != null && first.mediaStartSeconds !== 0)
      parts.push(`its first ${duration(first.mediaStartSeconds)} are not presented`);
    if (played.length > 1) parts.push(count(played.length, 'edit'));
    if (edits.some(({ rate }) => rate !== 1)) parts.push('not all at the speed of recording');
    return parts.length === 0 ? [] : [`${kind}: ${parts.join(', ')}`];
  });
  return words.length === 0 ? 'shift and hide nothing' : words.join('; ');
}

/** How the picture is coded. Empty for a file without a picture. */
export function codingRows({ video, coding, layers }: Measurement): Row[] {
  if (video === null) return [];
  const { profile } = video;
  const level = (layers.bitstream ?? layers.container)?.level ?? null;
  const rows: Row[] = [
    [
      'Codec',
      `${video.codec}${profile === null ? '' : ` ${profile}`}${level === null ? '' : `, level ${level}`}`,
    ],
  ];
  if (coding !== null) {
    if (coding.bitRate !== null) {
      const { mean, peak } = coding.bitRate;
      const worst = peak === null ? '' : `, ${bitRate(peak)} in the worst second`;
      rows.push(['Bit rate', `${bitRate(mean)}${worst}`]);
    }
    rows.push(['Group of pictures', gopText(coding)], ['Time stamps', stampText(coding)]);
  }
  const stated = layers.bitstream?.frameRate ?? null;
  if (stated !== null)
    rows.push(['Rate in the bitstream', `${stated.rate}${stated.fixed ? '' : ', not fixed'}`]);
  const siting = (layers.bitstream ?? layers.container)?.chromaSiting ?? null;
  if (siting !== null) rows.push(['Chroma siting', siting]);
  const aperture = layers.container?.cleanAperture ?? null;
  if (aperture !== null) rows.push(['Clean aperture', `${aperture.width} x ${aperture.height}`]);
  const differ = layerDifferences(layers.container, layers.bitstream);
  if (differ.length > 0) rows.push(['Layers differ', differ.join('; ')]);
  return rows;
}

function gopText({ intraOnly, gop }: Coding): string {
  if (intraOnly === true) return 'intra pictures only';
  if (gop === null) return 'not measured';
  const { shortest, longest, closed } = gop;
  const length =
    shortest === null || shortest === longest
      ? count(longest, 'frame')
      : `${shortest} to ${count(longest, 'frame')}`;
  return `${length}, ${closed === null ? 'open or closed is not known' : closed ? 'closed' : 'open'}`;
}

function stampText({ timestamps: { missing, repeated, backward } }: Coding): string {
  if (missing + repeated + backward === 0) return 'one for every packet, in order';
  return `${grouped(missing)} missing, ${grouped(repeated)} repeated, ${grouped(backward)} out of order`;
}

function rasterText({ raster }: Layer): string | null {
  return raster && `${raster.width} x ${raster.height}`;
}

/** Where container and bitstream both speak and say different things. */
function layerDifferences(container: Layer | null, bitstream: Layer | null): string[] {
  if (container === null || bitstream === null) return [];
  const pairs: readonly (readonly [string, string | null | undefined, string | null | undefined])[] = [
    ['raster', rasterText(container), rasterText(bitstream)],
    ['transfer', container.colour?.transfer, bitstream.colour?.transfer],
    ['primaries', container.colour?.primaries, bitstream.colour?.primaries],
    ['matrix', container.colour?.matrix, bitstream.colour?.matrix],
    ['range', container.colour?.range, bitstream.colour?.range],
    ['sample aspect', container.sampleAspect, bitstream.sampleAspect],
    ['scan', container.scan, bitstream.scan],
    ['profile', container.profile, bitstream.profile],
    ['level', container.level, bitstream.level],
    ['chroma siting', container.chromaSiting, bitstream.chromaSiting],
  ];
  return pairs
    .filter(([, a, b]) => a != null && b != null && a !== b)
    .map(([what, a, b]) => `${what} ${a} in the container, ${b} in the bitstream`);
}

/** Messages shown; a broken file can give thousands. */
const MESSAGES = 6;

function endWords(endStated: boolean): string {
  return endStated ? 'no' : 'cannot be told: the file does not say how much it holds';
}

export function decodeRows({ decode }: Measurement): Row[] {
  const { errors, truncated, endStated, messages } = decode;
  const rest = messages.length - MESSAGES;
  return [
    ['Errors', errors === 0 ? 'none' : grouped(errors)],
    ['Ends early', truncated ? 'yes: frames or samples that were promised are missing' : endWords(endStated)],
    ...messages.slice(0, MESSAGES).map((message): Row => ['Message', message]),
    ...(rest > 0 ? [['', `and ${count(rest, 'more message')}, all in the measurement`] as const] : []),
  ];
}
