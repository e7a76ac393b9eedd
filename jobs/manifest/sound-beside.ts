import type { ManifestClip } from './manifest.js';
import { slateOf, slateText } from './slate.js';
import { isMeanwhile, type PicturePlace, pictureClock, placeOf } from './sound-place.js';

/** What is said of sound recorded apart. */
export interface SoundBeside {
  readonly file: string;
  /** Scene, take and start timecode, as far as they are known: `scene 12A, take 3, 10:00:00:00`. */
  readonly words: string;
  /** Files of the clips that were recorded meanwhile, by timecode. */
  readonly beside: readonly string[];
}

interface Picture {
  readonly file: string;
  readonly clock: PicturePlace;
}

/** Sound recorded apart, with the clips it overlaps in timecode. Pure. */
export function soundBeside(clips: readonly ManifestClip[]): SoundBeside[] {
  const sounds = clips.filter(({ facts }) => facts !== undefined && facts.video === null);
  const pictures = sounds.length === 0 ? [] : clips.flatMap((clip) => pictureOf(clip) ?? []);
  return sounds.map((clip) => {
    const start = clip.startTimecode ?? clip.facts?.container.startTimecode ?? '';
    return {
      file: clip.file,
      words: [slateText(slateOf(clip)), start].filter(Boolean).join(', '),
      beside: pictures.filter(({ clock }) => isMeanwhile(placeOf(clip, clock))).map(({ file }) => file),
    };
  });
}

function pictureOf({ file, facts, startTimecode, frameRate }: ManifestClip): Picture | null {
  if (facts?.video == null) return null;
  const { container, video } = facts;
  const stated = { container, video: { ...video, frameRate: frameRate ?? video.frameRate } };
  const clock = pictureClock(stated, startTimecode ?? container.startTimecode);
  return typeof clock === 'string' ? null : { file, clock };
}
