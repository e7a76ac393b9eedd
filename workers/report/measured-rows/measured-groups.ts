import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { comparisonRows } from './comparison-rows.js';
import { codingRows, decodeRows, fileRows } from './file-rows.js';
import { exposureRows, levelRows, lightRows, pictureRows } from './picture-rows.js';
import type { RowGroup } from './row.js';
import { type SoundPresentation, soundRows } from './sound-rows.js';
import { flashRows, temporalRows } from './time-rows.js';

/**
 * Everything measured of one file in words, for the terminal and the report alike. Figures only, no opinion.
 * A group that does not apply is left out; what could not be measured stands in `unmeasured` with its reason.
 */
export function measuredGroups(measured: Measurement): RowGroup[] {
  const { video, audio } = measured;
  return [
    { title: 'File', rows: fileRows(measured) },
    { title: 'Picture', rows: video === null ? [['Picture', 'none'] as const] : pictureRows(measured) },
    { title: 'Against its original', rows: comparisonRows(measured) },
    { title: 'Coding of the picture', rows: codingRows(measured) },
    { title: 'Levels', rows: levelRows(measured) },
    { title: 'Light', rows: lightRows(measured) },
    { title: 'Exposure', rows: exposureRows(measured) },
    { title: 'Over time', rows: temporalRows(measured) },
    { title: 'Flashes', rows: flashRows(measured) },
    ...(audio.length === 0 ? [{ title: 'Sound', rows: [['Sound', 'none'] as const] }] : []),
    ...audio.map((sound, index) => ({
      title: `Sound, stream ${sound.stream}`,
      rows: soundRows(sound, presentationOf(measured, index)),
    })),
    { title: 'Decoding', rows: decodeRows(measured) },
  ].filter(({ rows }) => rows.length > 0);
}

function presentationOf({ wrapper }: Measurement, index: number): SoundPresentation | null {
  const tracks = wrapper?.tracks ?? [];
  const picture = tracks.find(({ kind }) => kind === 'video');
  const sound = tracks.filter(({ kind }) => kind === 'audio')[index];
  if (sound?.startSeconds == null || picture?.startSeconds == null) return null;
  const shown = sound.edits?.find(({ mediaStartSeconds }) => mediaStartSeconds !== null);
  return { start: sound.startSeconds - picture.startSeconds, hidden: shown?.mediaStartSeconds ?? 0 };
}
