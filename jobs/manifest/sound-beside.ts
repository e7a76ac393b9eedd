import { parseRational } from '../../signal/rational.js';
import { frameOfTimecode, parseTimecode } from '../../signal/timecode.js';
import type { ManifestClip } from './manifest.js';
import { slateOf, slateText } from './slate.js';

/** What is said of sound recorded apart. */
export interface SoundBeside {
  readonly file: string;
  /** Scene, take and start timecode, as far as they are known: `scene 12A, take 3, 10:00:00:00`. */
  readonly words: string;
  /** Files of the clips that were recorded meanwhile, by timecode. */
  readonly beside: readonly string[];
}

interface Span {
  readonly file: string;
  readonly from: number;
  readonly to: number;
}

/** Sound recorded apart, with the clips it overlaps in timecode. Pure. */
export function soundBeside(clips: readonly ManifestClip[]): SoundBeside[] {
  const pictures = clips.flatMap((clip) => pictureSpan(clip) ?? []);
  return clips
    .filter(({ facts }) => facts !== undefined && facts.video === null)
    .map((clip) => {
      const span = soundSpan(clip);
      const start = clip.startTimecode ?? clip.facts?.container.startTimecode ?? '';
      return {
        file: clip.file,
        words: [slateText(slateOf(clip)), start].filter(Boolean).join(', '),
        beside:
          span === null
            ? []
            : pictures.filter(({ from, to }) => from < span.to && span.from < to).map(({ file }) => file),
      };
    });
}

/** Seconds of the day, of real time: at 30000/1001 an hour of timecode takes longer. */
function pictureSpan({ file, facts, startTimecode }: ManifestClip): Span | null {
  const { video, container } = facts ?? {};
  const rate = video?.frameRate == null ? null : parseRational(video.frameRate);
  const start = startTimecode ?? container?.startTimecode ?? null;
  if (rate === null || start === null || video?.frames == null) return null;
  const { timecode } = parseTimecode(start, rate);
  if (timecode === null) return null;
  const first = frameOfTimecode(timecode);
  return { file, from: (first * rate.den) / rate.num, to: ((first + video.frames) * rate.den) / rate.num };
}

function soundSpan({ file, facts }: ManifestClip): Span | null {
  const { timeReference, durationSeconds } = facts?.container ?? {};
  if (timeReference === undefined || durationSeconds == null) return null;
  const from = timeReference.samples / timeReference.sampleRate;
  return { file, from, to: from + durationSeconds };
}
