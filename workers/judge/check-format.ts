import { extname } from 'node:path';
import { isNamed } from '../../jobs/codecs/codec-traits.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { equalRationals, formatRational, parseRational, rational, toNumber } from '../../signal/rational.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { oneOf, percent } from './figures.js';
import { eventsOf } from './place.js';
import { type Check, hold, met, missed, type Ruling, unmeasured } from './ruling.js';

type Video = NonNullable<Measurement['video']>;

/** Runs `check` on the picture; a file without one misses whatever is asked of it. */
export function withVideo(
  measurement: Measurement,
  expected: string,
  check: (video: Video) => Ruling,
): Ruling {
  const { video } = measurement;
  return video === null
    ? missed(
        expected,
        'the file has no picture',
        'Deliver a file with a picture, or judge it by a target for sound.',
      )
    : check(video);
}

/** As withVideo, for facts that must hold for the whole file: a format that changes in the middle misses them. */
function withSteadyVideo(
  measurement: Measurement,
  expected: string,
  check: (video: Video) => Ruling,
  changes: readonly string[] = ['format-change'],
): Ruling {
  const change = measurement.events.find(({ kind }) => changes.includes(kind));
  if (change === undefined) return withVideo(measurement, expected, check);
  const at = eventsOf(measurement, ...changes);
  return missed(
    expected,
    `changes within the file: ${change.detail}`,
    'Make the file again in one format.',
    at,
  );
}

/** Demuxer names of ffmpeg, one of which serves MOV and MP4 alike. */
const CONTAINER_NAMES: Readonly<Record<string, readonly string[]>> = {
  mov: ['mov', 'mp4'],
  matroska: ['mkv'],
  mxf: ['mxf'],
  mxf_opatom: ['mxf'],
  wav: ['wav'],
};
const EXTENSIONS: Readonly<Record<string, string>> = {
  '.mov': 'mov',
  '.qt': 'mov',
  '.mp4': 'mp4',
  '.m4v': 'mp4',
};

export const container: Check<'container'> = ({ is }, { container: { format }, file }) => {
  const expected = oneOf(is);
  const first = format.split(',')[0] ?? '';
  const possible = Object.hasOwn(CONTAINER_NAMES, first) ? (CONTAINER_NAMES[first] ?? []) : [];
  const advice = `Wrap the streams again as ${expected}.`;
  if (possible.length === 0) return missed(expected, format, advice);
  if (possible.every((name) => is.some((wanted) => wanted === name))) return met(expected, oneOf(possible));
  if (!possible.some((name) => is.some((wanted) => wanted === name)))
    return missed(expected, oneOf(possible), advice);
  // MOV and MP4 share their structure; how the file is named is how players will take it.
  const named = EXTENSIONS[extname(file.path).toLowerCase()];
  if (named === undefined) {
    return unmeasured(
      expected,
      'MOV and MP4 share one structure, and the name says neither',
      'Name the file .mov or .mp4.',
    );
  }
  return hold(
    is.some((wanted) => wanted === named),
    expected,
    `${named}, by its name`,
    advice,
  );
};

const plain = (profile: string): string => profile.toLowerCase().replace(/[^a-z0-9]/g, '');

export const videoCodec: Check<'video-codec'> = ({ is, profiles }, measurement) => {
  const expected = `${oneOf(is)}${profiles === undefined ? '' : `, profile ${oneOf(profiles)}`}`;
  return withVideo(measurement, expected, ({ codec, profile }) => {
    const codecHolds = is.some((name) => isNamed(codec, name));
    // A profile that is asked for and not stated misses, as EBU QC 0035W has it.
    const profileHolds =
      profiles === undefined || (profile !== null && profiles.some((name) => plain(name) === plain(profile)));
    const measured = `${codec}, profile ${profile ?? 'not stated'}`;
    return hold(codecHolds && profileHolds, expected, measured, `Encode the picture as ${expected}.`);
  });
};

export const raster: Check<'raster'> = ({ width, height }, measurement) => {
  const expected = `${width} x ${height}`;
  return withSteadyVideo(measurement, expected, (video) => {
    const turned = video.rotation % 360 !== 0;
    const orders = [
      ...(video.mirrored ? ['mirrored'] : []),
      ...(turned ? [`turned by ${video.rotation} degrees`] : []),
    ];
    const measured = `${video.width} x ${video.height}${orders.length > 0 ? `, to be ${orders.join(' and ')}` : ''}`;
    const holds = video.width === width && video.height === height && orders.length === 0;
    return hold(
      holds,
      expected,
      measured,
      `Make the picture ${expected}, upright and without a rotation flag.`,
    );
  });
};

const ASPECT_CHANGES = ['aspect-change'];
/** A raster of another size is another shape too, whatever its samples are. */
const SHAPE_CHANGES = ['aspect-change', 'format-change'];

export const sampleAspect: Check<'sample-aspect'> = ({ is }, measurement) => {
  const wanted = parseRational(is);
  const expected = `sample aspect ${is}`;
  return withSteadyVideo(
    measurement,
    expected,
    ({ sampleAspect: declared }) => {
      const given = declared === null ? null : parseRational(declared);
      const advice = `Have the file state a sample aspect of ${is}.`;
      if (given === null || wanted === null)
        return unmeasured(expected, 'the file states no sample aspect', advice);
      return hold(equalRationals(given, wanted), expected, formatRational(given), advice);
    },
    ASPECT_CHANGES,
  );
};

export const displayAspect: Check<'display-aspect'> = ({ is, tolerance }, measurement) => {
  const wanted = parseRational(is);
  const expected = `display aspect ${is}${tolerance > 0 ? ` within ${percent(tolerance)}` : ''}`;
  return withSteadyVideo(
    measurement,
    expected,
    ({ width, height, sampleAspect: declared, rotation }) => {
      const sample = declared === null ? null : parseRational(declared);
      const advice = `Deliver a picture of ${is}, and have the file state its sample aspect.`;
      if (sample === null || wanted === null)
        return unmeasured(expected, 'the file states no sample aspect', advice);
      const upright = rational(width * sample.num, height * sample.den);
      const shown = rotation % 180 === 0 ? upright : rational(upright.den, upright.num);
      const off = Math.abs(toNumber(shown) / toNumber(wanted) - 1);
      const holds = tolerance > 0 ? off <= tolerance : equalRationals(shown, wanted);
      const measured = `${formatRational(shown)} (${toNumber(shown).toFixed(4)})`;
      return hold(holds, expected, measured, advice);
    },
    SHAPE_CHANGES,
  );
};

export const scan: Check<'scan'> = ({ is }, measurement) => {
  const expected = oneOf(is);
  return withVideo(measurement, expected, (video) => {
    const advice = `Deliver ${expected}, and have the file say so.`;
    if (video.scan === null) return unmeasured(expected, 'the file states no scan type', advice);
    const found = video.scan;
    return hold(is.includes(found), expected, found, advice);
  });
};

export const bitDepth: Check<'bit-depth'> = ({ declared, effective, proof }, measurement) => {
  const allowed = typeof declared === 'number' ? [declared] : declared;
  const used = proof ? `at least ${effective} of them used` : `no sign of fewer than ${effective} used`;
  const expected = `${oneOf(allowed)} bits${effective === undefined ? '' : `, ${used}`}`;
  return withSteadyVideo(measurement, expected, ({ bitDepth: found }) => {
    if (!allowed.includes(found.declared)) {
      return missed(
        expected,
        `${found.declared} bits declared`,
        `Encode the picture with ${oneOf(allowed)} bits.`,
      );
    }
    if (effective === undefined) return met(expected, `${found.declared} bits declared`);
    const noPicture = measurement.levels === null ? reasonFor(measurement, 'levels', 'levels') : null;
    const unread = noPicture ?? doubtAbout(measurement, 'levels.luma');
    const doubt = doubtAbout(measurement, 'video.bitDepth.effective');
    if (unread !== null || found.effective === null || found.confidence === 'low' || doubt !== null) {
      if (unread === null && found.effective === null && !proof) {
        return met(
          expected,
          `${found.declared} bits declared; how many are used cannot be told, no sign of fewer`,
        );
      }
      const reason =
        unread ?? doubt ?? 'too little tone, or too lossy coding, to tell how many bits are used';
      return unmeasured(expected, reason, 'Judge the depth on the uncompressed or losslessly coded source.');
    }
    return hold(
      found.effective >= effective,
      expected,
      `${found.declared} bits declared, ${found.effective} used`,
      'Go back to a source with the full depth: the missing bits cannot be made up.',
    );
  });
};

export const chroma: Check<'chroma'> = ({ declared }, measurement) => {
  const expected = oneOf(declared);
  return withSteadyVideo(measurement, expected, (video) => {
    const found = video.chroma.declared;
    if (found === null) {
      return unmeasured(
        expected,
        `${video.pixelFormat} has no sampling with a name`,
        `Encode the picture as ${expected}.`,
      );
    }
    return hold(
      declared.includes(found),
      expected,
      found,
      `Encode the picture as ${expected} from a source that has it.`,
    );
  });
};
