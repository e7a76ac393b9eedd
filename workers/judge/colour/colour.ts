import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { hold } from '../ruling.js';
import { spoken, TAGS, type Tag } from './tags.js';

function taken(limits: Limits<'colour'>, tag: Tag): readonly string[] {
  return tag === 'transfer' ? limits.transfer : [limits[tag]];
}

function asked(limits: Limits<'colour'>, tags: readonly Tag[]): string {
  return tags.map((tag) => `${tag} ${oneOf(taken(limits, tag))}`).join(', ');
}

function wrongTags(limits: Limits<'colour'>, { video }: Measurement): Tag[] {
  return TAGS.filter((tag) => !taken(limits, tag).includes(spoken(video?.colour[tag] ?? null) ?? ''));
}

export const requirement = defineRequirement('colour', {
  title: 'Colour tags',
  why: 'Players and graders show the picture by these tags; wrong ones shift every colour.',
  expected: (limits) => asked(limits, TAGS),
  advice: (limits, measurement) =>
    `Write ${asked(limits, wrongTags(limits, measurement))} into the file if the picture is that; render it again if not.`,
  rule: onPicture((limits, { colour: tags }, measurement) => {
    const measured = TAGS.map((tag) => `${tag} ${spoken(tags[tag]) ?? 'not stated'}`).join(', ');
    return hold(wrongTags(limits, measurement).length === 0, measured);
  }),
});
