import { mkdir, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeEach, expect, it } from 'vitest';
import { type Plan, plan as planSchema } from '../../../jobs/plan/plan.js';
import { storedPlanText } from '../../../jobs/plan/stored-plan.js';
import { PLAN_FILE } from '../../../workers/batch/folder.js';
import { KnownPlans, needsOf } from '../../../workers/queue/plan-needs.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { clipFacts } from '../../planner/make-facts.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const at = (...names: string[]): string => join(folder.path, ...names);
const PLAN = at('out', PLAN_FILE);

function planOf(root: string, clips: number): Plan {
  const jobs = Array.from({ length: clips }, (_, index) => ({
    ...{ id: `${index}`.padStart(20, '0'), clipKey: '0'.repeat(20), outputs: [], judge: [] },
    clip: {
      ...{ path: join(root, `${index}.mov`), name: `${index}.mov` },
      ...{ facts: clipFacts(), colour: null },
    },
    estimate: { seconds: 1 },
  }));
  return planSchema.parse({
    ...{ schema: 'goodgate/plan@1', id: 'b', title: 'Night', root, out: at('out') },
    ...{ jobs, refused: [], notes: [] },
    totals: { clips, outputs: 0, bytes: 0, workSeconds: 1, wallSeconds: 1, workers: 1 },
  });
}

/** Written in place, so that nothing but its time tells whether it was read again. */
async function writePlan(root: string, seconds: number, clips = 2): Promise<void> {
  await writeFile(PLAN, [...storedPlanText(planOf(root, clips))].join(''));
  await utimes(PLAN, seconds, seconds);
}

beforeEach(async () => {
  for (const name of ['out', 'one', 'two']) {
    await rm(at(name), { recursive: true, force: true });
    await mkdir(at(name), { recursive: true });
  }
});

it('a plan is read again when its file has changed, and only then', async () => {
  const plans = new KnownPlans();
  expect(await plans.needs(at('out'))).toBeNull();
  await writePlan(at('one'), 1000);
  const { ino, size } = await stat(PLAN);
  expect((await plans.needs(at('out')))?.roots).toEqual([at('one')]);
  await writePlan(at('two'), 1000);
  expect(await stat(PLAN)).toMatchObject({ ino, size });
  expect((await plans.needs(at('out')))?.roots).toEqual([at('one')]);
  await utimes(PLAN, 1001, 1001);
  expect((await plans.needs(at('out')))?.roots).toEqual([at('two')]);
  await rm(PLAN);
  expect(await plans.needs(at('out'))).toBeNull();
});

it('what is kept of a plan of 100,000 clips is small, and has clips from all over it', () => {
  const [job] = planOf(at('one'), 1).jobs;
  if (job === undefined) throw new Error('no job');
  const jobs = Array.from({ length: 100_000 }, (_, index) => ({
    ...job,
    clip: { ...job.clip, path: at('one', `${index}.mov`) },
  }));
  const needs = needsOf({ root: at('one'), joined: [], jobs });
  expect(JSON.stringify(needs).length).toBeLessThan(20_000);
  const numbers = needs.someClips.map((path) => Number(/(\d+)\.mov$/.exec(path)?.[1]));
  expect(Math.min(...numbers)).toBeLessThan(2_000);
  expect(Math.max(...numbers)).toBeGreaterThan(98_000);
});

it('a clip is seen wherever in the plan it stands', async () => {
  await writePlan(at('one'), 1000, 300);
  const plans = new KnownPlans();
  expect(await new KnownPlans().isAnySeen(at('out'))).toBe(false);
  // Not among those that are kept: every clip is looked for before a volume is said not to be there.
  const { someClips } = needsOf(planOf(at('one'), 300));
  expect(someClips).not.toContain(at('one', '299.mov'));
  await writeFile(at('one', '299.mov'), '');
  expect(await plans.isAnySeen(at('out'))).toBe(true);
  await rm(at('one', '299.mov'));
  expect(await plans.isAnySeen(at('out'))).toBe(false);
  await writeFile(at('one', '0.mov'), '');
  expect(await plans.isAnySeen(at('out'))).toBe(true);
});
