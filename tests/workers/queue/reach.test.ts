import { mkdir, rename, rm, symlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { type Plan, plan as planSchema } from '../../../jobs/plan/plan.js';
import { writePlan } from '../../../workers/batch/assemble.js';
import { readUndecodable } from '../../../workers/capabilities/ask-decoders.js';
import { KnownPlans, needsOf } from '../../../workers/queue/plan-needs.js';
import {
  type AbleWorker,
  whyNotBatch,
  whyOtherSoftware,
  whyUnable,
  whyUnseen,
} from '../../../workers/queue/reach.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { CAPABILITIES, clipFacts } from '../../planner/make-facts.js';
import { markFolder } from './clip-job.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const at = (...names: string[]): string => join(folder.path, ...names);
const SOFTWARE = { goodgate: '1.0', code: 'c0de', ffmpeg: '5.1' };
const FACTS = clipFacts();

function planOf(): Plan {
  const jobs = ['a.mov', 'b.mov'].map((name, index) => ({
    ...{ id: `${index}`.padStart(20, '0'), clipKey: '0'.repeat(20), outputs: [], judge: [] },
    clip: { path: at('vol', 'card', name), name, facts: FACTS, colour: null },
    estimate: { seconds: 1 },
  }));
  return planSchema.parse({
    ...{ schema: 'goodgate/plan@1', id: 'b', title: 'Night', root: at('vol', 'card'), out: at('vol', 'out') },
    ...{ jobs, refused: [], notes: [] },
    totals: { clips: 2, outputs: 0, bytes: 0, workSeconds: 1, wallSeconds: 1, workers: 1 },
  });
}

beforeEach(async () => {
  await rm(at('vol'), { recursive: true, force: true });
  for (const name of ['card', 'out']) await mkdir(at('vol', name), { recursive: true });
  for (const name of ['a.mov', 'b.mov']) await writeFile(at('vol', 'card', name), '');
  await markFolder(at('vol', 'out'), { batch: 'b' });
  await writePlan(planOf());
});

function worker(roots: readonly string[] = [at('vol')]): AbleWorker {
  const site = { capabilities: CAPABILITIES, version: '1.0', roots, tools: {} };
  return { site, software: SOFTWARE, undecodable: new Set(), plans: new KnownPlans() };
}
const entry = { id: 'b', out: at('vol', 'out'), software: SOFTWARE };
const why = (roots?: readonly string[]): Promise<string | null> => whyNotBatch(entry, worker(roots));

describe('a worker leaves a batch to others', () => {
  it('never when it can see and do all of it', async () => {
    expect(await why()).toBeNull();
  });

  it('whose folder is not under its roots', async () => {
    expect(await why([at('other')])).toContain('outside-roots');
    expect(await why([at('vol', 'card')])).toContain('outside-roots');
    expect(await why([at('vol', 'out')])).toContain('outside-roots');
  });

  it('whose volume is not mounted: an empty folder stands in its place', async () => {
    await rename(at('vol', 'out'), at('vol', 'elsewhere'));
    await mkdir(at('vol', 'out'));
    expect(await why()).toContain('its volume is not mounted');
  });

  it('whose folder is that of another batch', async () => {
    await markFolder(at('vol', 'out'), { batch: 'c' });
    expect(await why()).toContain('holds another batch');
  });

  it('whose folder is a link out of its roots', async () => {
    await rename(at('vol', 'out'), at('elsewhere'));
    await symlink(at('elsewhere'), at('vol', 'out'));
    expect(await why()).toContain('outside-roots');
    await rm(at('elsewhere'), { recursive: true });
  });

  it('of which no clip is to be seen, but not one of which a single clip is gone', async () => {
    await rm(at('vol', 'card', 'a.mov'));
    expect(await why()).toBeNull();
    expect(await whyUnseen(at('vol', 'out'), new KnownPlans())).toBeNull();
    await rm(at('vol', 'card', 'b.mov'));
    expect(await why()).toContain('its volume is not mounted here');
    expect(await whyUnseen(at('vol', 'out'), new KnownPlans())).toContain('not mounted here');
  });
});

it.each([
  [{}, null],
  [{ goodgate: '1.1' }, 'submitted by goodgate 1.0 (code c0de), and this is 1.1 (code c0de)'],
  [{ code: 'feed' }, 'this is 1.0 (code feed)'],
  [{ ffmpeg: '7.1' }, 'planned for ffmpeg 5.1, and here is 7.1'],
])('software that differs by %j is another', (differs, told) => {
  const found = whyOtherSoftware(SOFTWARE, { ...SOFTWARE, ...differs });
  if (told === null) expect(found).toBeNull();
  else expect(found).toContain(told);
});

it('a codec without a decoder is told, as ffmpeg -codecs lists it', () => {
  // The form of FFmpeg 5.1: D decodes, E encodes, then kind, intra only, lossy, lossless.
  const listed = [
    ' Codecs:',
    ' D..... = Decoding supported',
    ' -------',
    ' DEV.L. h264                 H.264 / AVC / MPEG-4 AVC',
    ' ..V.L. vvc                  H.266 / VVC',
    ' ..A.L. ac4                  AC-4',
  ].join('\n');
  expect(readUndecodable(listed)).toEqual(['vvc', 'ac4']);
  const needs = needsOf(planOf());
  const { codec } = FACTS.video ?? { codec: '' };
  const site = { capabilities: CAPABILITIES };
  expect(whyUnable(needs, site, new Set(['vvc']))).toBeNull();
  expect(whyUnable(needs, site, new Set([codec]))).toBe(`this ffmpeg has no decoder for ${codec}`);
});
