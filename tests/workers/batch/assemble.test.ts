import { afterAll, expect, it } from 'vitest';
import type { BatchClip } from '../../../jobs/plan/batch.js';
import { plan as planSchema } from '../../../jobs/plan/plan.js';
import { type AssembleOptions, assembleBatch } from '../../../workers/batch/assemble.js';
import { below, resultFile } from '../../../workers/batch/folder.js';
import { writeJson } from '../../../workers/batch/write-whole.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { clipFacts } from '../../planner/make-facts.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

const NAMES = ['done.mov', 'there.mov', 'waits.mov'];
const idOf = (index: number): string => `${index}`.padStart(20, '0');
const PLAN = planSchema.parse({
  ...{
    schema: 'goodgate/plan@1',
    id: 'b',
    title: 'Night',
    root: '/card',
    out: folder.path,
    notes: [],
    refused: [],
  },
  skipped: [{ clip: 'no.mov', by: 'rule 1 (file no.mov)' }],
  jobs: NAMES.map((name, index) => ({
    ...{ id: idOf(index), clipKey: idOf(index), outputs: [], judge: [], estimate: { seconds: 1 } },
    clip: { path: `/card/${name}`, name, facts: clipFacts(), colour: null },
  })),
  totals: { clips: 3, outputs: 0, bytes: 0, workSeconds: 3, wallSeconds: 3, workers: 1 },
});
const OPTIONS: AssembleOptions = {
  ...{ state: 'running', startedAt: 'x', finishedAt: null, unreadable: [], lost: '' },
  method: { ffmpeg: '5.1', goodgate: '1' },
};

it('the work of a clip is that of the run that did it, and what is skipped is named', async () => {
  const result = (index: number, seconds: number, wasThere: boolean): BatchClip => ({
    ...{ name: NAMES[index] ?? '', job: idOf(index), state: 'done', error: null },
    ...{ original: null, items: [], seconds, run: null, wasThere, bytesAsBefore: null, slate: null },
  });
  await writeJson(below(folder.path, resultFile(idOf(0))), result(0, 40, false));
  await writeJson(below(folder.path, resultFile(idOf(1))), result(1, 50, false));
  const first = await assembleBatch(PLAN, OPTIONS);
  expect(first.clips.map(({ seconds }) => seconds)).toEqual([40, 50, null]);
  expect(first.skipped).toEqual(PLAN.skipped);

  // A second run looked at what was there for a moment, and made one clip anew.
  await writeJson(below(folder.path, resultFile(idOf(0))), result(0, 41, false));
  await writeJson(below(folder.path, resultFile(idOf(1))), result(1, 0.2, true));
  const second = await assembleBatch(PLAN, { ...OPTIONS, earlier: first });
  expect(second.clips.map(({ seconds }) => seconds)).toEqual([41, 50, null]);
});
