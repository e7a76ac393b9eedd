import { describe, expect, it } from 'vitest';
import { correctPlan, wallSeconds } from '../../../jobs/experience/correct.js';
import {
  experience,
  KEPT_PER_KIND,
  KINDS_AT_MOST,
  type Learned,
  NO_EXPERIENCE,
  withLearned,
} from '../../../jobs/experience/experience.js';
import { fitPairs } from '../../../jobs/experience/fit.js';
import { learnedFrom } from '../../../jobs/experience/learn.js';
import { manifest } from '../../../jobs/manifest/manifest.js';
import type { Plan } from '../../../jobs/plan/plan.js';
import { builtInTargets } from '../../../jobs/targets/load-target.js';
import { planBatch } from '../../../planner/plan-batch.js';
import { CAPABILITIES, clipFacts } from '../../planner/make-facts.js';

const targets = new Map((await builtInTargets()).map((each) => [each.name, each]));

/** A plan of clips of so many frames at 25 a second. */
function planOf(frames: readonly number[], chosen = ['intermediate-422-10', 'proxy-h264']): Plan {
  const clips = frames.map((count, index) => {
    const length = { frames: count, durationSeconds: count / 25 };
    return { file: `c${index}.mov`, facts: clipFacts(length, { bytes: 1_000 + index }) };
  });
  return planBatch({
    manifest: manifest.parse({ schema: 'goodgate/manifest@1', title: 'x', root: '.', clips }),
    ...{ root: '/card', out: '/work/out', targets, chosen, capabilities: CAPABILITIES },
    ...{ version: '1', looks: new Map(), workers: 2 },
  });
}

const pairs = (...all: (readonly [number, number])[]) => all.map(([reckoned, came]) => ({ reckoned, came }));

describe('what finished work teaches', () => {
  it('nothing from fewer than three pieces, the ratio of sums from three', () => {
    expect(fitPairs(pairs([10, 20], [20, 40]))).toBeNull();
    expect(fitPairs(pairs([10, 20], [20, 40], [30, 90]))?.predict(100)).toBeCloseTo((100 * 150) / 60, 9);
  });

  it('an outlier changes nothing, however far it lies', () => {
    const good = Array.from({ length: 9 }, (_, i) => [10 + i, 2 * (10 + i)] as const);
    for (const came of [1e-6, 1e12]) {
      const learned = fitPairs(pairs(...good, [12, came]));
      expect(learned?.predict(15), String(came)).toBeCloseTo(30, 9);
      expect(learned?.pairs).toBe(9);
    }
  });

  it('what does not grow with the figure is told from what does, and growth beyond it stays near the figures', () => {
    // Half a second of start, and a hundredth of a second for each second reckoned.
    const work = [1, 2, 3, 4, 5, 6, 8, 10].map((x) => [x, 0.5 + 0.01 * x] as const);
    const learned = fitPairs(pairs(...work));
    expect(learned?.predict(7)).toBeCloseTo(0.57, 9);
    // A thousand times longer than anything seen: no less than a quarter of what was reckoned.
    expect(learned?.predict(10_000)).toBeGreaterThan((10_000 - 10) / 4);
  });

  it('figures of 0 and less are passed over', () => {
    expect(fitPairs(pairs([0, 1], [1, 0], [-1, 2], [1, -1]))).toBeNull();
  });
});

describe('experience of a site', () => {
  const piece = (more: Partial<Learned> = {}): Learned => ({
    ...{ kind: 'size|a|b', reckoned: 1, came: 2, at: 1 },
    ...more,
  });

  it('counts a piece once, keeps the latest of a kind, and the kinds worked on last', () => {
    const twice = withLearned(withLearned(NO_EXPERIENCE, [piece()]), [piece()]);
    expect(twice.kinds['size|a|b']).toHaveLength(1);
    const many = Array.from({ length: 100 }, (_, at) => piece({ at, came: at + 1 }));
    const kept = withLearned(NO_EXPERIENCE, many).kinds['size|a|b'] ?? [];
    expect(kept.map(({ at }) => at)).toEqual(Array.from({ length: KEPT_PER_KIND }, (_, i) => 76 + i));
    const kinds = Array.from({ length: 1_000 }, (_, at) => piece({ kind: `size|k${at}`, at }));
    const last = withLearned(NO_EXPERIENCE, kinds);
    expect(Object.keys(last.kinds)).toHaveLength(KINDS_AT_MOST);
    expect(last.kinds['size|k999']).toBeDefined();
    expect(last.kinds['size|k0']).toBeUndefined();
    expect(experience.safeParse(last).success).toBe(true);
  });

  it.each([
    ['no number', { came: Number.NaN }],
    ['endless', { came: Number.POSITIVE_INFINITY }],
    ['negative', { reckoned: -1 }],
    ['more than there is', { came: 1e300 }],
    ['another time', { at: 1.5 }],
    ['another name', { kind: '__proto__' }],
    ['a long name', { kind: `size|${'x'.repeat(61)}` }],
  ])('takes no piece that is %s', (_, more) => {
    expect(withLearned(NO_EXPERIENCE, [piece(more)])).toEqual(NO_EXPERIENCE);
  });
});

/** What clips teach whose pictures come to `size` times and whose time to `time` times what is reckoned. */
function teach(plan: Plan, size: number, time: number): Learned[] {
  return plan.jobs.flatMap((job, index) => {
    const made = job.outputs.map(({ key }) => key);
    const raw = learnedFrom(
      job,
      {
        made,
        bytes: new Map(job.outputs.map(({ path }) => [path, 1e12])),
        seconds: { decode: 1, ofOutput: new Map(made.map((key) => [key, 1])), whole: 10 },
      },
      index,
    );
    return raw.map((each) => ({
      ...each,
      came: each.reckoned * (each.kind.startsWith('size') ? size : time),
    }));
  });
}

describe('a plan', () => {
  it('is corrected by kind: sizes of the picture alone, times by their parts, and says by how many clips', () => {
    const learned = withLearned(NO_EXPERIENCE, teach(planOf([50, 100, 150, 200, 250]), 0.5, 3));
    const before = planOf([1_000]);
    const after = correctPlan(before, learned);
    const [was] = before.jobs;
    const [is] = after.jobs;
    for (const [index, output] of (was?.outputs ?? []).entries()) {
      // Stereo of 24 bits at 48 kHz, or the rate of the target: 40 s of either.
      const { audio } = output.recipe;
      const sound = (40 * (audio?.bitRate ?? 2 * 24 * 48_000)) / 8;
      const picture = output.estimate.bytes - sound;
      expect(is?.outputs[index]?.estimate.bytes).toBeCloseTo(picture / 2 + sound, -2);
      expect(is?.outputs[index]?.estimate.by).toBe(5);
    }
    // Three times one core's work: making, measuring two outputs of 1000 frames of HD, and the rest.
    const hd = (1_000 * 1920 * 1080) / 1e6;
    const making = hd / 30 + hd / 14 + hd / 10;
    expect(is?.estimate.seconds).toBeCloseTo(3 * (making + (2 * hd) / 30 + making), 6);
    expect(is?.estimate.by).toBe(5);
    expect([after.id, is?.id, is?.outputs.map(({ key }) => key)]).toEqual([
      ...[before.id, was?.id, was?.outputs.map(({ key }) => key)],
    ]);
    expect(after.totals.bytes).toBe(is?.outputs.reduce((sum, { estimate }) => sum + estimate.bytes, 0));
  });

  it('of a kind nobody did keeps its sizes, and takes its time from whole clips of any kind', () => {
    const learned = withLearned(NO_EXPERIENCE, teach(planOf([50, 100, 150]), 0.5, 3));
    const before = planOf([100], ['intermediate-444-12']);
    const after = correctPlan(before, learned);
    expect(after.jobs[0]?.outputs).toEqual(before.jobs[0]?.outputs);
    expect(after.jobs[0]?.estimate.by).toBe(3);
    expect(correctPlan(before, NO_EXPERIENCE).jobs).toEqual(before.jobs);
  });

  it('learns no time from a clip of which some was there', () => {
    const [job] = planOf([100]).jobs;
    if (job === undefined) throw new Error('nothing was planned');
    const came = { bytes: new Map(job.outputs.map(({ path }) => [path, 1e9])) };
    const seconds = { decode: 1, ofOutput: new Map(), whole: 1 };
    const [first] = job.outputs;
    const learned = learnedFrom(job, { ...came, made: [first?.key ?? ''], seconds }, 1);
    expect(learned.map(({ kind }) => kind.split('|')[0])).toEqual(['size']);
  });
});

it('the time of several at once is that of whoever is done last', () => {
  expect(wallSeconds([], 4)).toBe(0);
  expect(wallSeconds([3, 3, 3, 3], 2)).toBe(6);
  expect(wallSeconds([1, 1, 10], 2)).toBe(11);
  expect(wallSeconds([10, 1, 1], 2)).toBe(10);
});
