import { codecOfEncoder } from '../jobs/codecs/picture-codecs.js';
import { hasAlpha } from '../jobs/manifest/alpha.js';
import type { ClipFacts, OtherStream, VideoFacts } from '../jobs/manifest/facts.js';
import type { Loss, OutputRecipe } from '../jobs/plan/plan.js';
import { count } from '../jobs/words/numbers.js';

/** What a clip holds beside the samples of picture and sound and the output will not, each as a loss. */
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
  return [{ what: 'alpha', why: 'its alpha is dropped: what lies behind it shows as the picture has it' }];
}

function hdrLosses({ hdr }: VideoFacts, { video, hdr: written, carry }: OutputRecipe): Loss[] {
  const had = [
    ...(hdr.mastering === null ? [] : ['the mastering display']),
    ...(hdr.lightLevel === null ? [] : ['MaxCLL and MaxFALL']),
  ];
  if (had.length === 0) return [];
  const subject = `${had.join(', ')} (SMPTE ST 2086, CTA-861.3)`;
  const isWritten = written.mastering !== null || written.lightLevel !== null;
  if (isWritten && codecOfEncoder(video.encoder).says.some((tag) => tag === 'static-hdr')) return [];
  if (isWritten && carry?.tags === true) {
    const why = `${subject}: kept as text in the metadata, which no display obeys, and in the container only where the original's states it`;
    return [{ what: 'hdr-tags', why }];
  }
  return [{ what: 'hdr', why: `${subject}: not written` }];
}

function pictureLosses({ dynamicHdr, iccProfile, captions }: VideoFacts, { video }: OutputRecipe): Loss[] {
  return [
    ...dynamicHdr.map((kind) => ({
      what: 'dynamic-hdr',
      why: `HDR metadata that changes from picture to picture (${kind}) is not written`,
    })),
    ...(iccProfile ? [{ what: 'icc-profile', why: 'the ICC profile of its colour is not written' }] : []),
    ...(captions && !codecOfEncoder(video.encoder).says.some((tag) => tag === 'captions')
      ? [{ what: 'captions', why: 'captions that lie in the picture (ATSC A/53) are not written' }]
      : []),
  ];
}

const STREAMS: Readonly<
  Partial<Record<OtherStream['kind'], { readonly what: string; readonly name: string }>>
> = {
  picture: { what: 'second-picture', name: 'a further track of picture' },
  cover: { what: 'cover', name: 'a cover picture' },
  subtitles: { what: 'subtitles', name: 'a track of subtitles' },
  captions: { what: 'captions', name: 'a track of captions' },
  data: { what: 'data', name: 'a track of data' },
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
      const why = `subtitles (stream ${stream}, ${codec}) are rewritten as ${how}: words and times stay, place and colours may not`;
      return [{ what: 'subtitle-style', why }];
    }
    return [{ what: lost.what, why: `${lost.name} (stream ${stream}, ${codec}) is not carried` }];
  });
  if (container.chapters > 0 && carry?.chapters !== true) {
    losses.push({ what: 'chapters', why: `${count(container.chapters, 'chapter')} not carried` });
  }
  const tracks = otherStreams.filter(({ kind }) => kind === 'timecode');
  if (tracks.length > 0 && timecode === null) {
    losses.push({ what: 'timecode', why: 'its timecode track cannot be read, and is not carried' });
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
      ? `metadata can name people and places, and this copy may leave the house: ${names.join(', ')} not carried`
      : `this container does not keep them: ${names.join(', ')} not carried`;
  return [{ what: 'metadata', why }];
}
