import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { metIf } from '../ruling.js';
import { statedTag, TAGS, type Tag } from './tags.js';

function acceptedValues(limits: Limits<'colour'>, tag: Tag): readonly string[] {
  return tag === 'transfer' ? limits.transfer : [limits[tag]];
}

function expectedTags(limits: Limits<'colour'>, tags: readonly Tag[]): string {
  return tags.map((tag) => `${tag} ${oneOf(acceptedValues(limits, tag))}`).join(', ');
}

function wrongTags(limits: Limits<'colour'>, { video }: Measurement): Tag[] {
  return TAGS.filter(
    (tag) => !acceptedValues(limits, tag).includes(statedTag(video?.colour[tag] ?? null) ?? ''),
  );
}

export const requirement = defineRequirement('colour', {
  title: 'Colour tags',
  why: 'Players and grading systems show the picture by these tags; wrong ones shift every colour.',
  expected: (limits) => expectedTags(limits, TAGS),
  advice: (limits, measurement) =>
    `Write ${expectedTags(limits, wrongTags(limits, measurement))} into the file if the picture is really that; if not, render it again.`,
  rule: onPicture((limits, { colour: tags }, measurement) => {
    const measured = TAGS.map((tag) => `${tag} ${statedTag(tags[tag]) ?? 'not stated'}`).join(', ');
    return metIf(wrongTags(limits, measurement).length === 0, measured);
  }),
});
