import { lightLevel, masterDisplay } from '../../jobs/codecs/hdr-parameters.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import { LIGHT_LEVEL_TAG, MASTERING_TAG } from '../../jobs/plan/hdr-tags.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';

/** `-map` and codec of each subtitle stream that is kept. */
export function subtitleArguments({ carry }: OutputRecipe): string[] {
  return (carry?.subtitles ?? []).flatMap(({ stream, codec }, index) => [
    ...['-map', `0:${stream}`, `-c:s:${index}`, codec],
  ]);
}

/** Tags about the file of the original, which would be wrong for this one. */
const STALE = ['major_brand', 'minor_version', 'compatible_brands', 'encoder', 'timecode', 'reel_name'];

/**
 * Descriptive metadata and chapters. By default nothing is copied: metadata can name people and places, and
 * proxies are sent to others. Of tracks only language and title are copied: the rest (lengths, counts, bit
 * rates) applies to the original only.
 */
export function extraArguments({ carry, hdr, audio }: OutputRecipe, facts: ClipFacts): string[] {
  const chapters = ['-map_chapters', carry?.chapters === true ? '0' : '-1'];
  if (carry === null || !carry.tags) return ['-map_metadata', '-1', ...chapters];
  const display = masterDisplay(hdr);
  const light = lightLevel(hdr);
  return [
    ...['-map_metadata:g', '0:g', '-map_metadata:s', '-1', ...chapters],
    ...STALE.flatMap((name) => ['-metadata', `${name}=`]),
    ...(display === null ? [] : ['-metadata', `${MASTERING_TAG}=${display}`]),
    ...(light === null ? [] : ['-metadata', `${LIGHT_LEVEL_TAG}=${light}`]),
    ...trackTags(facts, (audio?.streams ?? []).map(placeAmong(facts.audio)), 'audio', 'a'),
    ...trackTags(facts, [0], 'video', 'v'),
    ...trackTags(facts, subtitlePlaces(facts, carry.subtitles), 'subtitle', 's'),
  ];
}

/** @param places for each track of one kind in the output, its index among those of the original */
function trackTags(facts: ClipFacts, places: readonly number[], kind: string, specifier: string): string[] {
  return places.flatMap((place, index) =>
    ['language', 'title'].flatMap((name) => {
      const value = facts.container.tags[`${kind}[${place}] ${name}`];
      return value === undefined ? [] : [`-metadata:s:${specifier}:${index}`, `${name}=${value}`];
    }),
  );
}

function placeAmong(streams: readonly { readonly stream: number }[]): (stream: number) => number {
  return (stream) => streams.findIndex((each) => each.stream === stream);
}

function subtitlePlaces({ otherStreams }: ClipFacts, kept: readonly { readonly stream: number }[]): number[] {
  const all = otherStreams.filter(({ kind }) => kind === 'subtitles' || kind === 'captions');
  return kept.map(({ stream }) => placeAmong(all)(stream));
}
