import { expect, it } from 'vitest';
import type { ManifestClip } from '../../../../jobs/manifest/manifest.js';
import { countAtCommonRate } from '../../../../workers/probe/card/common-rate.js';
import { clipFacts } from '../../../planner/make-facts.js';

const picture = (frameRate: string, startTimecode: string | null): ManifestClip => {
  const facts = clipFacts({ frameRate });
  return { file: 'a.mov', facts: { ...facts, container: { ...facts.container, startTimecode } } };
};

// 107,892 frames of drop frame, 108,000 of the other count are an hour of labels (SMPTE ST 12-1).
const DROP_HOUR = Math.round((107_892 * 1001 * 48_000) / 30_000);
it.each([
  ['all at one rate', [picture('25/1', null), picture('25/1', '10:00:00:00')], 48_000, '00:00:01:00'],
  ['two rates', [picture('25/1', null), picture('24/1', null)], 48_000, null],
  ['no picture', [], 48_000, null],
  ['drop frame', [picture('30000/1001', '10:00:00;00')], DROP_HOUR, '01:00:00;00'],
  ['the count not known', [picture('30000/1001', null)], DROP_HOUR, null],
  [
    'both counts',
    [picture('30000/1001', '10:00:00;00'), picture('30000/1001', '10:00:00:00')],
    DROP_HOUR,
    null,
  ],
])('sound without a rate of its own beside pictures, %s', (_, pictures, samples, timecode) => {
  const facts = clipFacts(null);
  const timeReference = { samples, sampleRate: 48_000 };
  const sound = { ...facts, container: { ...facts.container, startTimecode: null, timeReference } };
  const counted = countAtCommonRate([...pictures, { file: 's.wav', facts: sound }]).at(-1)?.facts;
  expect(counted?.container.startTimecode).toBe(timecode);
  expect(counted?.notes.length).toBe(timecode === null ? 0 : 1);
});
