import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import {
  type Manifest,
  type ManifestClip,
  manifest as manifestSchema,
} from '../../jobs/manifest/manifest.js';
import type { Plan } from '../../jobs/plan/plan.js';
import type { Target } from '../../jobs/targets/target.js';
import { target } from '../../jobs/targets/target.js';
import { planBatch } from '../../planner/plan-batch.js';
import { CAPABILITIES, clipFacts } from './make-facts.js';

/** A target of square samples, and one that leaves the raster as it is. */
const TARGETS = new Map<string, Target>(
  [
    { name: 'square', raster: { width: 1920, height: 1080, fit: 'pad' } },
    { name: 'as-is', raster: 'source' },
  ].map(({ name, raster }) => [
    name,
    target.parse({
      ...{ schema: 'goodgate/target@1', name, title: name },
      make: { container: 'mov', video: { codec: 'ffv1', bitDepth: 'source', chroma: 'source' }, raster },
    }),
  ]),
);

function planned(
  clip: Partial<ManifestClip>,
  more: Partial<Manifest> = {},
  names = ['square', 'as-is'],
): Plan {
  return planBatch({
    manifest: {
      ...{ schema: 'goodgate/manifest@1', title: 't', root: '/v', ...more },
      clips: [{ file: 'a.mov', facts: clipFacts({ width: 1920, height: 1080 }), ...clip }],
    },
    ...{ root: '/v', out: '/o', targets: TARGETS, chosen: names, capabilities: CAPABILITIES, version: '1' },
    ...{ looks: new Map(), workers: 1 },
  });
}

describe('a sample aspect that the manifest states', () => {
  it('shapes the picture: 16:9 of samples twice as wide is 32:9, in 1920 columns 540 lines', () => {
    const [job] = planned({ sampleAspect: '2/1' }).jobs;
    const [square, asIs] = job?.outputs ?? [];
    // 1920 / (1920 * 2 / 1080) = 540.
    expect(square?.recipe.raster).toMatchObject({
      scaledWidth: 1920,
      scaledHeight: 540,
      width: 1920,
      height: 1080,
    });
    expect(square?.recipe.sampleAspect).toBe('1/1');
    expect(asIs?.recipe.sampleAspect).toBe('2/1');
    // The original is measured and judged as that too.
    expect(job?.clip.facts.video).toMatchObject({ sampleAspect: '2/1', displayAspect: '32/9' });
  });

  it('may come from a rule or the defaults; the clip itself goes before', () => {
    const aspectOf = (plan: Plan) => plan.jobs[0]?.clip.facts.video?.sampleAspect;
    const rules = [{ match: { file: '*.mov' }, set: { sampleAspect: '4/3' } }];
    const defaults = { sampleAspect: '2/1' };
    expect(aspectOf(planned({}, { defaults }))).toBe('2/1');
    expect(aspectOf(planned({}, { defaults, rules }))).toBe('4/3');
    expect(aspectOf(planned({ sampleAspect: '3/2' }, { defaults, rules }))).toBe('3/2');
  });
});

describe('what is stated of a clip is part of the keys of its measurement', () => {
  it.each<[string, Partial<ManifestClip>]>([
    ['scan', { scan: 'interlaced-tff' }],
    ['sample aspect', { sampleAspect: '2/1' }],
  ])('%s', (_, clip) => {
    const [plain, stated] = [planned({}), planned(clip)].map((plan) => plan.jobs[0]);
    expect(stated?.clipKey).not.toBe(plain?.clipKey);
    expect(stated?.id).not.toBe(plain?.id);
  });
});

describe('a start timecode that the manifest states', () => {
  it.each([
    ['99:00:00:00', 'hours 99'],
    ['10:00:00:25', 'frames 25'],
    ['10:00:00;00', 'drop frame exists'],
  ])('is refused where it is none at the rate of the clip: %s', (startTimecode, why) => {
    const { jobs, refused } = planned({ startTimecode });
    expect(jobs).toEqual([]);
    expect(refused).toMatchObject([{ target: null, reason: expect.stringContaining(why) }]);
  });

  it('needs no quotes in YAML, and is refused by its place where it has another form', () => {
    const read = (text: string) =>
      manifestSchema.safeParse(
        parse(
          `schema: goodgate/manifest@1\ntitle: t\nroot: .\nclips: [{ file: a.mov, startTimecode: ${text} }]`,
        ),
      );
    expect(read('10:00:00:00').data?.clips[0]?.startTimecode).toBe('10:00:00:00');
    expect(read('01:00:00;02').data?.clips[0]?.startTimecode).toBe('01:00:00;02');
    for (const text of ['10:00:00', '1:00:00:00', '01:00:00,02', '36000']) {
      expect(read(text).error?.issues[0]?.path).toEqual(['clips', 0, 'startTimecode']);
    }
  });
});
