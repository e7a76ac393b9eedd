import type { ContainerTrack, TrackEdit } from '../../../jobs/measurement/measured-container.js';
import type { Leaf } from './leaf-boxes.js';

/** In ticks of the track. */
export interface MediaTimes {
  readonly timescale: number;
  /** Null where the track declares none. */
  readonly duration: number | null;
  /** When the first sample is presented, before any edit list. */
  readonly first: number;
}

/**
 * An edit list in seconds (ISO/IEC 14496-12, clause 8.6.6; from memory): durations in ticks of the movie,
 * positions in ticks of the track, -1 for an empty edit. Empty without a list; null where a time scale is
 * missing.
 */
export function editsOf(
  elst: Leaf<'elst'> | null,
  movieScale: number,
  trackScale: number,
): TrackEdit[] | null {
  if (elst === null) return [];
  if (movieScale === 0 || trackScale === 0) return null;
  return elst.entries.map((entry) => ({
    // 0 in a fragmented file: to the end.
    seconds: entry.segment_duration === 0 ? null : entry.segment_duration / movieScale,
    mediaStartSeconds: entry.media_time < 0 ? null : entry.media_time / trackScale,
    // 16.16 fixed point, whose lower half the library reads as signed.
    rate: entry.media_rate_integer + (entry.media_rate_fraction & 0xffff) / 65_536,
  }));
}

type Presentation = Pick<ContainerTrack, 'mediaSeconds' | 'presentedSeconds' | 'startSeconds' | 'edits'>;

/**
 * When a track begins and how long it is presented. Empty edits at the head delay it; an edit that begins
 * after the first sample (priming of coded sound, frames needed only for decoding) hides what is before it.
 */
export function presentation(
  edits: TrackEdit[] | null,
  media: MediaTimes,
  isFragmented: boolean,
): Presentation {
  const { timescale } = media;
  const known = timescale > 0 && media.duration !== null && !(isFragmented && media.duration === 0);
  const mediaSeconds = known ? (media.duration ?? 0) / timescale : null;
  if (edits === null || timescale === 0) {
    return { mediaSeconds, presentedSeconds: null, startSeconds: null, edits };
  }
  const first = media.first / timescale;
  const at = edits.findIndex((edit) => edit.mediaStartSeconds !== null);
  const edit = edits[at];
  if (edit === undefined) {
    const onlyEmpty = edits.length > 0;
    return {
      mediaSeconds,
      presentedSeconds: onlyEmpty ? 0 : mediaSeconds,
      startSeconds: onlyEmpty ? null : first,
      edits,
    };
  }
  const delay = edits.slice(0, at).reduce((sum, empty) => sum + (empty.seconds ?? 0), 0);
  const shown = edits.filter(({ mediaStartSeconds }) => mediaStartSeconds !== null);
  const lengths = shown.map(
    ({ seconds, mediaStartSeconds }) =>
      seconds ?? (mediaSeconds === null ? null : Math.max(0, mediaSeconds - (mediaStartSeconds ?? 0))),
  );
  return {
    mediaSeconds,
    presentedSeconds: lengths.some((length) => length === null)
      ? null
      : lengths.reduce<number>((sum, length) => sum + (length ?? 0), 0),
    startSeconds: delay + Math.max(0, first - (edit.mediaStartSeconds ?? 0)),
    edits,
  };
}
