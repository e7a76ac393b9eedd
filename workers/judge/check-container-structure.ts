import { extname } from 'node:path';
import type { ContainerTrack } from '../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import { withVideo } from './check-format.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { count } from './figures.js';
import { type Check, hold, met, missed, type Ruling, unmeasured, worstOf } from './ruling.js';

/** Extensions by the container they promise, and the major brands of ISO/IEC 14496-12 that keep the promise (MP4: from memory). */
const PROMISES: Readonly<Record<string, { readonly demuxer: string; readonly brands?: RegExp }>> = {
  '.mov': { demuxer: 'mov', brands: /^qt {2}$/ },
  '.qt': { demuxer: 'mov', brands: /^qt {2}$/ },
  '.mp4': { demuxer: 'mov', brands: /^(?:iso[0-9a-z]|mp4[12]|avc1|hvc1|dash|cmf[a-z0-9]|msnv|M4V |M4VH)$/ },
  '.m4v': { demuxer: 'mov', brands: /^(?:M4V |M4VH|mp4[12]|iso[0-9a-z])$/ },
  '.mkv': { demuxer: 'matroska' },
  '.mxf': { demuxer: 'mxf' },
  '.wav': { demuxer: 'wav' },
  '.avi': { demuxer: 'avi' },
};

export const fileType: Check<'file-type'> = (_, measurement) => {
  const extension = extname(measurement.file.path).toLowerCase();
  const expected = `a file of the type its name promises`;
  const promise = Object.hasOwn(PROMISES, extension) ? PROMISES[extension] : undefined;
  const advice = 'Name the file after its container, or wrap the streams again.';
  if (promise === undefined) {
    return unmeasured(expected, `the name ends in "${extension}", which promises no container`, advice);
  }
  const found = measurement.container.format.split(',')[0] ?? '';
  if (found !== promise.demuxer) return missed(expected, `${extension}, but it is ${found}`, advice);
  if (promise.brands === undefined) return met(expected, extension);
  if (measurement.wrapper === null || doubtAbout(measurement, 'wrapper.brand') !== null) {
    return unmeasured(expected, reasonFor(measurement, 'brand', 'wrapper.brand'), advice);
  }
  const { brand } = measurement.wrapper;
  // QuickTime files older than brands have none; an MP4 without is no MP4 (ISO/IEC 14496-12, 4.3).
  if (brand === null)
    return hold(extension === '.mov' || extension === '.qt', expected, `${extension}, no brand`, advice);
  return hold(promise.brands.test(brand), expected, `${extension}, brand "${brand.trim()}"`, advice);
};

export const fastStart: Check<'fast-start'> = (_, measurement) => {
  const expected = 'the index before the samples';
  const indexFirst = measurement.wrapper?.indexFirst ?? null;
  const advice = 'Write the file again with the index in front.';
  if (indexFirst === null) {
    const reason =
      doubtAbout(measurement, 'wrapper.indexFirst') ??
      (measurement.wrapper === null
        ? 'the measurement holds no index'
        : 'only MOV and MP4 have such an index');
    return unmeasured(expected, reason, advice);
  }
  return hold(indexFirst, expected, indexFirst ? expected : 'the index after the samples', advice);
};

export const containerStructure: Check<'container-structure'> = (limits, measurement) => {
  const expected = [
    limits.fragments ? '' : 'no fragments',
    `${limits.maxTrailingBytes === 0 ? 'nothing' : `at most ${limits.maxTrailingBytes} bytes`} after the last box`,
  ]
    .filter((part) => part !== '')
    .join(', ');
  const { wrapper } = measurement;
  const advice = 'Write the file again, whole and in one piece.';
  if (wrapper === null || wrapper.fragments === null || wrapper.trailingBytes === null) {
    const reason =
      doubtAbout(measurement, 'wrapper.fragments') ?? 'the structure of this container is not read';
    return unmeasured(expected, reason, advice);
  }
  const holds =
    (limits.fragments || wrapper.fragments === 0) && wrapper.trailingBytes <= limits.maxTrailingBytes;
  const measured = `${count(wrapper.fragments, 'fragment')}, ${count(wrapper.trailingBytes, 'byte')} after the last box`;
  return hold(holds, expected, measured, advice);
};

export const cleanAperture: Check<'clean-aperture'> = (limits, measurement) => {
  const expected = `${limits.width} x ${limits.height} to be shown`;
  return withVideo(measurement, expected, (video) => {
    const advice = `Deliver ${limits.width} x ${limits.height} to be shown, and no aperture of another size.`;
    const { container } = measurement.layers;
    // Only boxes are read for it: of another container it is not known that it has none.
    if (container === null || (measurement.wrapper?.indexFirst ?? null) === null) {
      const reason =
        doubtAbout(measurement, 'layers.container.cleanAperture') ??
        'the aperture of this container is not read';
      return unmeasured(expected, reason, advice);
    }
    const shown = container.cleanAperture ?? video;
    const measured = `${shown.width} x ${shown.height}${container.cleanAperture === null ? ', no aperture stated' : ''}`;
    return hold(shown.width === limits.width && shown.height === limits.height, expected, measured, advice);
  });
};

/** Times are sums of quotients of clocks: a millionth of a sample is no difference. */
const ROUNDING = 1e-6;

export const editList: Check<'edit-list'> = ({ maxSamples, simple }, measurement) => {
  const expected = `picture and sound begin together, within ${count(maxSamples, 'sample')}${simple ? ', by one plain edit each' : ''}`;
  return withVideo(measurement, expected, (video) => {
    const advice = 'Write the file again from its start, without an edit list that shifts or cuts.';
    const { wrapper } = measurement;
    const picture = wrapper?.tracks.find(({ kind }) => kind === 'video');
    // A container that could not be read itself may hold edit lists nobody has seen.
    if (!wrapper || picture === undefined || doubtAbout(measurement, 'wrapper.tracks') !== null) {
      return unmeasured(expected, reasonFor(measurement, 'tracks', 'wrapper.tracks'), advice);
    }
    const sounds = wrapper.tracks.filter(({ kind }) => kind === 'audio');
    const rate = parseRational(video.frameRate ?? '');
    const frameSeconds = rate === null ? null : 1 / toNumber(rate);
    return worstOf([
      simple ? plainRuling(expected, [picture, ...sounds], frameSeconds, advice) : met(expected, ''),
      ...sounds.map((sound, index) =>
        startRuling(expected, picture, sound, index, maxSamples, measurement, advice),
      ),
    ]);
  });
};

/** One edit at the speed it was recorded, with nothing but delay before it, and no picture hidden. */
function plainRuling(
  expected: string,
  tracks: readonly ContainerTrack[],
  frameSeconds: number | null,
  advice: string,
): Ruling {
  for (const { kind, edits, mediaSeconds, presentedSeconds } of tracks) {
    if (edits === null) continue;
    const shown = edits.filter(({ mediaStartSeconds }) => mediaStartSeconds !== null);
    if (shown.length > 1)
      return missed(expected, `${kind} is cut together from ${shown.length} edits`, advice);
    const [edit] = shown;
    if (edit !== undefined && edit.rate !== 1)
      return missed(expected, `${kind} is presented at ${edit.rate} times its speed`, advice);
    if (kind !== 'video' || mediaSeconds === null || presentedSeconds === null || frameSeconds === null)
      continue;
    const hidden = Math.round((mediaSeconds - presentedSeconds) / frameSeconds);
    if (hidden > 0)
      return missed(expected, `the edit list hides ${count(hidden, 'frame')} that the file holds`, advice);
  }
  const known = tracks.some(({ edits }) => edits !== null);
  return met(expected, known ? 'one plain edit each' : 'the container has no edit lists');
}

function startRuling(
  expected: string,
  picture: ContainerTrack,
  sound: ContainerTrack,
  index: number,
  maxSamples: number,
  measurement: Measurement,
  advice: string,
): Ruling {
  const stream = measurement.audio[index];
  if (picture.startSeconds === null || sound.startSeconds === null || stream === undefined) {
    return unmeasured(expected, `the container does not say when sound ${index + 1} begins`, advice);
  }
  const offset = (sound.startSeconds - picture.startSeconds) * stream.sampleRate;
  const seconds = Math.abs(sound.startSeconds - picture.startSeconds);
  const samples = Math.round(Math.abs(offset));
  const measured =
    samples === 0
      ? `sound ${index + 1} begins with the picture`
      : `sound ${index + 1} begins ${seconds.toFixed(4)} s (${count(samples, 'sample')}) ${offset > 0 ? 'after' : 'before'} the picture`;
  return hold(Math.abs(offset) <= maxSamples + ROUNDING, expected, measured, advice);
}
