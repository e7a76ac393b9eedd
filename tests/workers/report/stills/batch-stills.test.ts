import { appendFile, mkdir, readdir, readFile, rm, symlink, writeFile } from 'node:fs/promises';
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
  await writeClip();
});
afterAll(() => folder.remove());

async function writeClip(): Promise<void> {
  await writeKnownClip(clip, {
    width: 64,
    height: 36,
    pixelFormat: 'yuv444p10le',
    colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' },
    frames: [400, 1010, 410].map((code) => [flat(code, PIXELS), flat(512, PIXELS), flat(512, PIXELS)]),
  });
}

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
    soundApart: [],
    manifests: [],
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

    // As they are kept in the folder, with nothing drawn.
    const none = { ffmpeg: '/no/ffmpeg', ffprobe: '/no/ffprobe' };
    expect(await batchStills(plan, out, verdicts, { ...site, tools: none })).toEqual(stills);
    expect((await batchStills(plan, out, verdicts, { ...site, roots: [out] })).size).toBe(0);
    expect((await batchStills(plan, out, verdicts, { ...site, signal: AbortSignal.abort() })).size).toBe(0);
    expect((await batchStills(plan, out, new Map(), site)).size).toBe(0);
    // Those of files that are no longer shown have gone.
    expect(await readdir(join(out, '.stills'), { recursive: true })).toEqual(['originals']);

    // What is not as it was when it was measured is another file.
    await appendFile(clip, 'x');
    heard.length = 0;
    expect((await batchStills(plan, out, verdicts, site)).size).toBe(0);
    expect(heard).toHaveLength(1);
  });

  it('are drawn again where what is kept is of something else, damaged, or was put there', async () => {
    await writeClip();
    const { plan, verdicts } = await judgedBatch();
    const site = { roots: [folder.path], tools: {}, log: { debug: () => undefined } };
    const drawn = await batchStills(plan, out, verdicts, site);
    expect(drawn.size).toBe(1);
    const file = join(out, '.stills/originals/clip.mkv.json');
    const kept = await readFile(file, 'utf8');
    const spoilt: readonly string[] = [
      kept.slice(0, 100),
      kept.replace(/data:image\/\w+;base64,/, 'https://example.org/'),
      kept.replace(';base64,', ';base64,<script>'),
      kept.replace(/"key":\s*"./, (text) => `${text.slice(0, -1)}${text.endsWith('0') ? '1' : '0'}`),
    ];
    for (const text of spoilt) {
      expect(text).not.toBe(kept);
      await writeFile(file, text);
      expect(await batchStills(plan, out, verdicts, site)).toEqual(drawn);
      expect(await readFile(file, 'utf8')).toBe(kept);
    }
    // A link that leads out of the folder is not written through.
    await rm(join(out, '.stills'), { recursive: true });
    await mkdir(join(folder.path, 'elsewhere'));
    await symlink(join(folder.path, 'elsewhere'), join(out, '.stills'));
    expect(await batchStills(plan, out, verdicts, site)).toEqual(drawn);
    expect(await readdir(join(folder.path, 'elsewhere'))).toEqual([]);
  });
});
