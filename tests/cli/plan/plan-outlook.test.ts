import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { fitBy, inOrder } from '../../../cli/plan/fit-by.js';
import { misfits, type Outlook, outlookLines, planOutlook } from '../../../cli/plan/plan-outlook.js';
import { planRoom, shortfalls } from '../../../cli/plan/plan-room.js';
import { manifest } from '../../../jobs/manifest/manifest.js';
import type { Plan } from '../../../jobs/plan/plan.js';
import { builtInTargets } from '../../../jobs/targets/load-target.js';
import { planBatch } from '../../../planner/plan-batch.js';
import { roomIn } from '../../../workers/batch/volumes.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { CAPABILITIES, clipFacts } from '../../planner/make-facts.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const targets = new Map((await builtInTargets()).map((each) => [each.name, each]));

/** Clips with these targets each, of which every one takes so many seconds, one at a time. */
function planOf(clips: Readonly<Record<string, string[]>>, seconds: number, out = folder.path): Plan {
  const listed = Object.entries(clips).map(([file, names]) => ({ file, targets: names, facts: clipFacts() }));
  const plan = planBatch({
    manifest: manifest.parse({ schema: 'goodgate/manifest@1', title: 'x', root: '.', clips: listed }),
    ...{ root: '/card', out, targets, chosen: [], capabilities: CAPABILITIES },
    ...{ version: '1', looks: new Map(), workers: 1 },
  });
  return { ...plan, jobs: plan.jobs.map((job) => ({ ...job, estimate: { seconds } })) };
}
const HEAVY = 'intermediate-444-12';
const PROXY = 'proxy-h264';
const CARD = { 'a.mov': [HEAVY], 'b.mov': [PROXY], 'c.mov': [HEAVY, PROXY], 'd.mov': [HEAVY] };

describe('an hour by which all is to be done', () => {
  it('clips with something to be looked at go first, each in the order of the manifest', () => {
    const names = inOrder(planOf(CARD, 10).jobs).map(({ clip }) => clip.name);
    expect(names).toEqual(['b.mov', 'c.mov', 'a.mov', 'd.mov']);
  });

  it('says what would be late, and a target without which nothing is', () => {
    const plan = planOf(CARD, 10);
    expect(fitBy(plan, 40)).toEqual({ seconds: 40, fits: true, late: [], without: null });
    expect(fitBy(plan, 25)).toMatchObject({ seconds: 40, fits: false, late: ['a.mov', 'd.mov'] });
    expect(fitBy(planOf({ 'a.mov': [HEAVY] }, 10), 5).without).toBeNull();
    expect(fitBy(plan, 39.9).without).toBe(PROXY);
    expect(fitBy(plan, 1).without).toBeNull();
  });

  it('is told with the time there is', async () => {
    const now = new Date(2026, 11, 1, 22, 0);
    const outlook = await planOutlook(planOf(CARD, 3 * 3600), { hours: 7, minutes: 0 }, now);
    expect(misfits({ ...outlook, room: [] })).toEqual([
      expect.stringMatching(
        /^by 2026-12-02 07:00 .*, in 9 h 0 min, not all is done: it takes about 12 h 0 min; 1 clip would be late: d\.mov/,
      ),
    ]);
    const early = await planOutlook(planOf(CARD, 60), { hours: 7, minutes: 0 }, now);
    expect(misfits({ ...early, room: [] })).toEqual([]);
    expect(outlookLines(planOf(CARD, 60), early).join('\n')).toMatch(/in 9 h 0 min, all is done/);
  });
});

describe('the room of a plan', () => {
  it('is that of outputs that are not there yet, on the volume the folder is going to be on', async () => {
    const out = join(folder.path, 'not', 'yet');
    const plan = planOf({ 'a.mov': [PROXY] }, 1, out);
    const [output] = plan.jobs[0]?.outputs ?? [];
    const bytes = output?.estimate.bytes ?? 0;
    const [room] = await planRoom(plan);
    expect(room).toMatchObject({ folder: out, needed: bytes, short: 0 });
    await mkdir(join(out, PROXY), { recursive: true });
    await writeFile(join(out, output?.path ?? ''), Buffer.alloc(1_000));
    expect((await planRoom(plan))[0]?.needed).toBe(bytes - 1_000);
  });

  it('that is missing is told before anything is made', async () => {
    const plan = planOf({ 'a.mov': [PROXY] }, 1);
    const { free, aside } = await roomIn(folder.path);
    const huge = plan.jobs.map((job) => ({
      ...job,
      outputs: job.outputs.map((output) => ({
        ...output,
        estimate: { ...output.estimate, bytes: 2 * free },
      })),
    }));
    const rooms = await planRoom({ ...plan, jobs: huge });
    expect(rooms).toHaveLength(1);
    // Others write to this disk as well.
    expect((rooms[0]?.short ?? 0) / (free + aside)).toBeCloseTo(1, 1);
    expect(shortfalls(rooms)[0]).toMatch(/are missing: .* to be made and .* for the report, .* free$/);
  });

  it('lists what finished clips stand behind', () => {
    const none: Outlook = { room: [], by: null };
    const plan = planOf(CARD, 1);
    expect(outlookLines(plan, none)).toEqual([
      'sizes: by the figures of the codecs',
      'times: by the figures of the codecs',
    ]);
    const [first, ...others] = plan.jobs;
    if (first === undefined) throw new Error('nothing was planned');
    const known = { ...first, estimate: { seconds: 1, by: 7 } };
    expect(outlookLines({ ...plan, jobs: [known, ...others] }, none)[1]).toBe(
      'times: 1 of 4 by at least 7 finished clips of a kind; the others by the figures of the codecs',
    );
  });
});
