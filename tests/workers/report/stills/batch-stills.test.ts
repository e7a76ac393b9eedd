import { appendFile, mkdir } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../../../jobs/plan/plan.js';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { keepDocument } from '../../../../workers/batch/documents.js';
import { originalMeasurementFile, originalVerdictFile } from '../../../../workers/batch/folder.js';
import { probeClip } from '../../../../workers/probe/probe-clip.js';
import { batchStills } from '../../../../workers/report/stills/batch-stills.js';
import { stillKey } from '../../../../workers/report/stills/still.js';
import { flat, temporaryFolder, writeKnownClip } from '../../../media/known-clip.js';
import { judgeClip } from './judged-clip.js';

const PIXELS = 64 * 36;
const REQUIRE = requirementSet.parse({ 'signal-range': {} });
const KEY = '0123456789abcdef0123';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let out: string;
let clip: string;
beforeAll(async () => {
  folder = await temporaryFolder();
  out = join(folder.path, 'batch');
  clip = join(folder.path, 'card', 'clip.mkv');
  await mkdir(dirname(clip), { recursive: true });
  await writeKnownClip(clip, {
    width: 64,
    height: 36,
    pixelFormat: 'yuv444p10le',
    colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' },
    frames: [400, 1010, 410].map((code) => [flat(code, PIXELS), flat(512, PIXELS), flat(512, PIXELS)]),
  });
});
afterAll(() => folder.remove());

/** What a batch leaves in its folder of a clip that was judged as it came. */
async function judgedBatch(): Promise<{ plan: Plan; verdicts: Parameters<typeof batchStills>[2] }> {
  const { measurement, verdict } = await judgeClip(clip, REQUIRE);
  const measured = originalMeasurementFile('clip.mkv');
  await keepDocument(out, measured, { ...measurement, key: KEY });
  const plan: Plan = {
    schema: 'goodgate/plan@1',
    id: 'b',
    title: 'b',
    root: dirname(clip),
    joined: [],
    out,
    jobs: [
      {
        id: KEY,
        clipKey: KEY,
        clip: { path: clip, name: 'clip.mkv', facts: await probeClip(clip), colour: null },
        outputs: [],
        judge: [{ target: 'test', require: REQUIRE }],
        estimate: { seconds: 1 },
      },
    ],
    refused: [],
    skipped: [],
    left: [],
    targetFiles: {},
    notes: [],
    totals: { clips: 1, outputs: 0, bytes: 0, workSeconds: 1, wallSeconds: 1, workers: 1 },
  };
  return { plan, verdicts: new Map([[originalVerdictFile('test', 'clip.mkv'), verdict]]) };
}

describe('stills of a batch', () => {
  it('are of the very files it measured, inside the roots, and of no others', async () => {
    const { plan, verdicts } = await judgedBatch();
    const heard: object[] = [];
    const site = {
      roots: [folder.path],
      tools: {},
      log: { debug: (fields: object) => void heard.push(fields) },
    };
    const stills = await batchStills(plan, out, verdicts, site);
    expect([...stills.keys()]).toEqual([stillKey(clip, 'test', 'signal-range')]);
    expect([...stills.values()].flat().map(({ frame }) => frame)).toEqual([1]);

    expect((await batchStills(plan, out, verdicts, { ...site, roots: [out] })).size).toBe(0);
    expect((await batchStills(plan, out, verdicts, { ...site, signal: AbortSignal.abort() })).size).toBe(0);
    expect((await batchStills(plan, out, new Map(), site)).size).toBe(0);

    // What is not as it was when it was measured is another file.
    await appendFile(clip, 'x');
    heard.length = 0;
    expect((await batchStills(plan, out, verdicts, site)).size).toBe(0);
    expect(heard).toHaveLength(1);
  });
});
