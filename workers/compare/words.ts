import type {
  FrameOrder,
  OtherFrames,
  PictureComparison,
  SoundComparison,
} from '../../jobs/measurement/measured-comparison.js';
import type { FrameRange } from '../../jobs/measurement/measurement.js';
import { count, fixed, signed } from '../../jobs/words/numbers.js';

/** `12 of 12 bits kept`, `10.1 of 12 bits kept`. A loss is never rounded away. */
export function bitsKeptText({ bitsKept, depth }: Pick<PictureComparison, 'bitsKept' | 'depth'>): string {
  return `${bitsText(bitsKept, depth)} of ${depth} bits kept`;
}

/** Bits kept of so many, for all of a picture or one plane: `12`, `11.9`. */
export function bitsText(bitsKept: number, depth: number): string {
  if (bitsKept >= depth) return String(depth);
  return fixed(Math.min(Math.floor(bitsKept * 10) / 10, depth - 0.1), 1);
}

/** `mirrored: left and right are exchanged`. */
export function mistakeText({ name, detail }: { readonly name: string; readonly detail: string }): string {
  return `${name.replaceAll('-', ' ')}: ${detail}`;
}

/** Most places that a sentence names. */
const MOST_PLACES = 8;

/**
 * `another picture than the original in frame 20 (10:00:00:20) showing frame 21`; all places in one
 * sentence.
 */
export function otherFramesText(apart: readonly OtherFrames[]): string {
  return `another picture than the original in frame ${placesOf(apart, shownText)}`;
}

/** `far less like the original than others: frame 20 (10:00:00:20)`. */
export function doubtfulFramesText(unlike: readonly FrameRange[]): string {
  return `far less like the original than others: frame ${placesOf(unlike, () => '')}`;
}

function placesOf<T extends FrameRange>(places: readonly T[], more: (place: T) => string): string {
  const written = places.slice(0, MOST_PLACES).map((place) => {
    const { from, to, fromTimecode } = place;
    const frames = to === from + 1 ? `${from}` : `${from} to ${to - 1}`;
    return `${frames}${fromTimecode === null ? '' : ` (${fromTimecode})`}${more(place)}`;
  });
  const left = places.length - written.length;
  return `${written.join(', ')}${left > 0 ? ` and in ${count(left, 'more place')}` : ''}`;
}

function shownText({ from, to, shows }: OtherFrames): string {
  if (shows === null) return '';
  return to === from + 1 ? ` showing frame ${shows}` : ` showing frames ${shows} to ${shows + to - from - 1}`;
}

/** `1500 frames, each the original's`; how many of them could not be told from the next. */
export function orderText({ frames, alike }: FrameOrder): string {
  const told = alike === 0 ? '' : `; ${alike} of them too like the next to tell which is shown`;
  return `${count(frames, 'frame')}, each the original's${told}`;
}

/** `2 streams in step to the sample, level 0.0 dB`, of sound without a mistake. */
export function inStepText(found: readonly SoundComparison[]): string {
  const levels = found.flatMap(({ gainDb }) => (gainDb === null ? [] : [gainDb]));
  const worst = levels.reduce((most, each) => (Math.abs(each) > Math.abs(most) ? each : most), 0);
  const streams = new Set(found.map(({ stream }) => stream)).size;
  return `${count(streams, 'stream')} in step to the sample, level ${signed(worst, 1)} dB`;
}

/** `stream 2: offset: 5 samples late (0.10 ms)`. */
export function wrongSoundText({ stream, side, mistakes }: SoundComparison): string {
  return `stream ${stream + 1}${side === null ? '' : `, ${side}`}: ${mistakes.map(mistakeText).join('; ')}`;
}
