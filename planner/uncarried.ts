import { codecOfEncoder } from '../jobs/codecs/picture-codecs.js';
import { hasAlpha } from '../jobs/manifest/alpha.js';
import type { ClipFacts, OtherStream, VideoFacts } from '../jobs/manifest/facts.js';
import type { Loss, OutputRecipe } from '../jobs/plan/plan.js';
import { count } from '../jobs/words/numbers.js';

/** What the output does not keep of a clip besides picture and sound, each as a loss. */
export function nameUncarried(facts: ClipFacts, recipe: OutputRecipe): Loss[] {
  const { video } = facts;
  return [
    ...(video === null ? [] : [...alphaLoss(video, recipe), ...hdrLosses(video, recipe)]),
    ...(video === null ? [] : pictureLosses(video, recipe)),
    ...streamLosses(facts, recipe),
    ...tagLosses(facts, recipe),
  ];
}

function alphaLoss({ pixelFormat }: VideoFacts, { video }: OutputRecipe): Loss[] {
  if (!hasAlpha(pixelFormat) || video.alpha) return [];
  return [{ what: 'alpha', why: 'its alpha is dropped: the whole picture becomes opaque' }];
}

function hdrLosses({ hdr }: VideoFacts, { video, hdr: written, carry }: OutputRecipe): Loss[] {
  const had = [
    ...(hdr.mastering === null ? [] : ['the mastering display']),
    ...(hdr.lightLevel === null ? [] : ['MaxCLL and MaxFALL']),
  ];
  if (had.length === 0) return [];
  const subject = `${had.join(', ')} (SMPTE ST 2086, CTA-861.3)`;
  const isWritten = written.mastering !== null || written.lightLevel !== null;
  if (isWritten && codecOfEncoder(video.encoder).carriedTags.some((tag) => tag === 'static-hdr')) return [];
  if (isWritten && carry?.tags === true) {
    const why = `${subject}: kept as text in the metadata, which displays ignore, and in the container only where that of the original declares it`;
    return [{ what: 'hdr-tags', why }];
  }
  return [{ what: 'hdr', why: `${subject}: not written` }];
}

function pictureLosses({ dynamicHdr, iccProfile, captions }: VideoFacts, { video }: OutputRecipe): Loss[] {
  return [
    ...dynamicHdr.map((kind) => ({
      what: 'dynamic-hdr',
      why: `dynamic HDR metadata (${kind}) is not written`,
    })),
    ...(iccProfile ? [{ what: 'icc-profile', why: 'the ICC profile is not written' }] : []),
    ...(captions && !codecOfEncoder(video.encoder).carriedTags.some((tag) => tag === 'captions')
      ? [{ what: 'captions', why: 'captions embedded in the picture (ATSC A/53) are not written' }]
      : []),
  ];
}

const STREAMS: Readonly<
  Partial<Record<OtherStream['kind'], { readonly what: string; readonly name: string }>>
> = {
  picture: { what: 'second-picture', name: 'another picture track' },
  cover: { what: 'cover', name: 'a cover picture' },
  subtitles: { what: 'subtitles', name: 'a subtitle track' },
  captions: { what: 'captions', name: 'a caption track' },
  data: { what: 'data', name: 'a data track' },
  attachment: { what: 'attachment', name: 'an attached file' },
};

function streamLosses({ otherStreams, container }: ClipFacts, recipe: OutputRecipe): Loss[] {
  const { carry, timecode } = recipe;
  const kept = new Map((carry?.subtitles ?? []).map(({ stream, codec: how }) => [stream, how]));
  const losses = otherStreams.flatMap(({ stream, kind, codec }): Loss[] => {
    const lost = STREAMS[kind];
    if (lost === undefined) return [];
    const how = kept.get(stream);
    if (how === 'copy') return [];
    if (how !== undefined) {
      const why = `subtitles (stream ${stream}, ${codec}) are converted to ${how}: words and times are kept, position and colours may be lost`;
      return [{ what: 'subtitle-style', why }];
    }
    return [{ what: lost.what, why: `${lost.name} (stream ${stream}, ${codec}) is not kept` }];
  });
  if (container.chapters > 0 && carry?.chapters !== true) {
    losses.push({ what: 'chapters', why: `${count(container.chapters, 'chapter')} not kept` });
  }
  const tracks = otherStreams.filter(({ kind }) => kind === 'timecode');
  if (tracks.length > 0 && timecode === null) {
    losses.push({ what: 'timecode', why: 'its timecode track cannot be read, and is not kept' });
  }
  if (tracks.length > 1) {
    const more = count(tracks.length - 1, 'further track');
    losses.push({ what: 'timecode', why: `${more} of timecode not carried: an output has one` });
  }
  return losses;
}

function tagLosses({ container: { tags } }: ClipFacts, { carry }: OutputRecipe): Loss[] {
  const names = Object.keys(tags);
  if (names.length === 0 || carry?.tags === true) return [];
  const why =
    carry === null
      ? `metadata can name people and places, and this copy may be sent to others: ${names.join(', ')} not kept`
      : `this container cannot store them: ${names.join(', ')} not kept`;
  return [{ what: 'metadata', why }];
}
