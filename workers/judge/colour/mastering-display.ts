import type { HdrStaticMetadata } from '../../../jobs/manifest/colour.js';
import { oneOf } from '../../../jobs/words/numbers.js';
import { nits } from '../../../jobs/words/quantities.js';
import { gamut } from '../../../signal/gamut/gamuts.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { doubtful, met, missed } from '../ruling.js';

/** ST 2086 writes chromaticities in steps of 0.00002; others round to three digits. */
const CHROMATICITY_TOLERANCE = 0.001;

export const requirement = defineRequirement('mastering-display', {
  title: 'Mastering display',
  why: 'A display adapts the picture from the display it was graded on to itself.',
  expected: ({ primaries, maxLuminance }) => {
    const peak = maxLuminance === undefined ? '' : `, at most ${nits(maxLuminance)}`;
    return `mastering display declared (SMPTE ST 2086), ${oneOf(primaries)}${peak}`;
  },
  advice: 'Write the display the picture was graded on into the file.',
  rule: ({ primaries, maxLuminance = Number.POSITIVE_INFINITY }, { hdr: { mastering } }) => {
    if (mastering === null) return missed('not declared');
    const named = primaries.find((name) => isDisplay(mastering, name));
    const { minLuminance, maxLuminance: statedPeak } = mastering;
    const measured = `${named ?? 'other primaries or white'}, ${minLuminance} to ${nits(statedPeak)}`;
    const inOrder = statedPeak > minLuminance;
    if (named === undefined || !inOrder || statedPeak > maxLuminance) return missed(measured);
    return minLuminance === 0
      ? doubtful(measured, 'A darkest level of 0 means unknown: write the level of the display used.')
      : met(measured);
  },
});

function isDisplay(
  mastering: NonNullable<HdrStaticMetadata['mastering']>,
  name: Limits<'mastering-display'>['primaries'][number],
): boolean {
  const volume = gamut(name);
  return (['red', 'green', 'blue', 'white'] as const).every((corner) =>
    mastering[corner].every(
      (value, i) => Math.abs(value - (volume[corner][i] ?? 0)) <= CHROMATICITY_TOLERANCE,
    ),
  );
}
