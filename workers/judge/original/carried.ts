import { lightLevel, masterDisplay } from '../../../jobs/codecs/hdr-parameters.js';
import { hasAlpha } from '../../../jobs/manifest/alpha.js';
import type { HdrStaticMetadata } from '../../../jobs/manifest/colour.js';
import type { ClipFacts, OtherStream } from '../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { LIGHT_LEVEL_TAG, MASTERING_TAG } from '../../../jobs/plan/hdr-tags.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, type Ruling, unmeasured } from '../ruling.js';
import { isMeasured } from './damage.js';

type Original = Measurement | ClipFacts;

export const requirement = defineRequirement('carried', {
  title: 'What a copy keeps besides picture and sound',
  why: 'What a copy does not keep is lost once the original is deleted.',
  expected: (limits) => {
    const parts = (['alpha', 'hdr', 'tracks', 'chapters', 'metadata'] as const).filter(
      (part) => limits[part],
    );
    return parts.length === 0
      ? 'nothing besides picture and sound'
      : `${parts.join(', ')} as in the original`;
  },
  advice: 'Keep the original, or make the copy with a target that keeps this.',
  rule: (limits, measurement, { original }) => {
    if (original === undefined) {
      return unmeasured('no original to compare it with', 'Check the copy together with its original.');
    }
    const rulings = [
      limits.alpha ? [alphaRuling(measurement, original)] : [],
      limits.hdr ? [hdrRuling(measurement, original), ...pictureRulings(measurement, original)] : [],
      limits.tracks ? [tracksRuling(measurement, original)] : [],
      limits.chapters ? [chaptersRuling(measurement, original)] : [],
      limits.metadata ? [metadataRuling(measurement, original)] : [],
    ].flat();
    return rulings.length === 0 ? met('nothing was required') : rulings;
  },
});

function alphaRuling(copy: Measurement, original: Original): Ruling {
  if (original.video === null || !hasAlpha(original.video.pixelFormat))
    return met('the original has no alpha');
  const has = copy.video !== null && hasAlpha(copy.video.pixelFormat);
  return metIf(has, has ? 'alpha is there' : 'no alpha, the original has it');
}

/** Both kinds of static metadata, rounded to the units of the standard. */
function hdrRuling(copy: Measurement, original: Original): Ruling {
  const expected = hdrOf(original);
  const parts = [
    { name: 'mastering display', text: masterDisplay, tag: MASTERING_TAG },
    { name: 'light level', text: lightLevel, tag: LIGHT_LEVEL_TAG },
  ] as const;
  const had = parts.filter(({ text }) => text(expected) !== null);
  if (had.length === 0) return met('the original has no static HDR metadata');
  const lost = had.filter(({ text, tag }) => {
    const found = [text(copy.hdr), copy.container.tags[tag.toLowerCase()]];
    return !found.includes(text(expected) ?? '');
  });
  const names = (list: readonly { readonly name: string }[]) => list.map(({ name }) => name).join(', ');
  return metIf(
    lost.length === 0,
    lost.length === 0 ? `${names(had)} kept` : `not as the original: ${names(lost)}`,
  );
}

function hdrOf(original: Original): HdrStaticMetadata {
  if (isMeasured(original)) return original.hdr;
  return original.video?.hdr ?? { mastering: null, lightLevel: null };
}

function pictureRulings({ video: copy }: Measurement, { video }: Original): Ruling[] {
  if (video === null) return [];
  const kinds = video.dynamicHdr.filter((kind) => !copy?.dynamicHdr.includes(kind));
  return [
    metIf(kinds.length === 0, kinds.length === 0 ? '' : `no dynamic HDR metadata (${kinds.join(', ')})`),
    metIf(!video.iccProfile || copy?.iccProfile === true, video.iccProfile ? 'the ICC profile' : ''),
    metIf(!video.captions || copy?.captions === true, video.captions ? 'captions in the picture' : ''),
  ];
}

const COUNTED: readonly OtherStream['kind'][] = ['picture', 'subtitles', 'captions', 'data', 'attachment'];

function tracksRuling(copy: Measurement, original: Original): Ruling {
  const tracks = ({ otherStreams }: Original, kind: OtherStream['kind']): number =>
    otherStreams.filter((stream) => stream.kind === kind).length;
  const missing = COUNTED.flatMap((kind) => {
    const [has, had] = [tracks(copy, kind), tracks(original, kind)];
    return has >= had ? [] : [`${kind}: ${has} of the original's ${had}`];
  });
  // A container without timecode tracks keeps one timecode in a tag.
  const timecodes = tracks(original, 'timecode');
  if (timecodes > 0 && copy.container.startTimecode === null)
    missing.push('timecode: none, the original has a track');
  if (timecodes > 1 && tracks(copy, 'timecode') < timecodes)
    missing.push(`timecode: 1 track of ${timecodes}`);
  return metIf(missing.length === 0, missing.length === 0 ? 'every other track' : missing.join(', '));
}

function chaptersRuling({ container: copy }: Measurement, { container: original }: Original): Ruling {
  const same = copy.chapters === original.chapters;
  return metIf(
    same,
    same ? `chapters: ${copy.chapters}` : `chapters: ${copy.chapters} of ${original.chapters}`,
  );
}

function metadataRuling({ container: copy }: Measurement, { container: original }: Original): Ruling {
  const lost = Object.entries(original.tags).flatMap(([name, value]) =>
    copy.tags[name] === value ? [] : [name],
  );
  if (lost.length === 0) return met('all descriptive metadata');
  return metIf(false, `descriptive metadata missing or changed: ${lost.join(', ')}`);
}
