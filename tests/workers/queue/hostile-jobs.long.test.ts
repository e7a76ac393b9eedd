import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, sep } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { GoodgateError } from '../../../jobs/errors.js';
import { manifest } from '../../../jobs/manifest/manifest.js';
import { type ClipJobData, clipJobData } from '../../../jobs/queue/messages.js';
import { builtInTargets } from '../../../jobs/targets/load-target.js';
import { planBatch } from '../../../planner/plan-batch.js';
import {
  below,
  markersFile,
  measurementFile,
  originalMarkersFile,
  originalMeasurementFile,
  originalVerdictFile,
  resultFile,
  temporaryName,
  verdictFile,
} from '../../../workers/batch/folder.js';
import { escapeDrawtext } from '../../../workers/ffmpeg/escape.js';
import { makeCommand } from '../../../workers/make/make-command.js';
import { requireReadable, requireWritable } from '../../../workers/roots.js';
import { CAPABILITIES, clipFacts } from '../../planner/make-facts.js';

/**
 * Whoever can write to the server can write any job. Here every field of a real one is replaced by every text
 * and value below, one at a time. What the schema lets through must still lead nowhere outside: no path of a
 * file that would be read or written, and nothing that ffmpeg would take for more than a name. `CANARY` is
 * what must not get there.
 */
const TEXTS = [
  ...['../../CANARY', '/CANARY/x', 'a/../../CANARY', '..', './CANARY', 'CANARY/', 'CANARY\0x'],
  ...[
    'x,drawtext=textfile=/CANARY/s',
    'x[out];movie=/CANARY/s[y]',
    'x:textfile=/CANARY',
    "x'\\,movie=/CANARY",
  ],
  ...[
    'concat:/CANARY',
    'https://CANARY/',
    '-CANARY',
    '%{CANARY}',
    'CANARY\n-i /CANARY',
    `CANARY${'a'.repeat(70_000)}`,
  ],
];
const VALUES = [null, true, -1, 0.5, 1e12, [], {}, ['CANARY']];

let folder: string;
let real: ClipJobData;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-test-'));
  for (const name of ['card', 'out', 'looks']) await mkdir(join(folder, name));
  const targets = new Map((await builtInTargets()).map((each) => [each.name, each]));
  const plan = planBatch({
    manifest: manifest.parse({
      schema: 'goodgate/manifest@1',
      title: 'Night',
      root: '.',
      clips: [
        {
          file: 'A001/C001.mov',
          reel: 'A001',
          startTimecode: '10:00:00:00',
          colour: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' },
          look: 'night.cube',
          facts: clipFacts({ width: 3840, height: 2160 }),
        },
      ],
    }),
    root: join(folder, 'card'),
    out: join(folder, 'out'),
    targets,
    chosen: ['proxy-h264', 'intermediate-444-12', 'hd-sdr-master'],
    capabilities: CAPABILITIES,
    version: '1',
    looks: new Map([['night.cube', { path: join(folder, 'looks', 'night.cube'), hash: 'abc' }]]),
    workers: 1,
  });
  const job = plan.jobs[0];
  if (job === undefined || job.outputs.length < 2) throw new Error('the job to be changed is too small');
  real = clipJobData.parse({ batch: plan.id, run: 'r1', out: plan.out, job });
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** Every value of a document that is no map and no list, and those too: paths from the top. */
function placesOf(value: unknown, path: readonly (string | number)[] = []): (readonly (string | number)[])[] {
  if (typeof value !== 'object' || value === null) return [path];
  const entries = Array.isArray(value) ? value.map((each, i) => [i, each] as const) : Object.entries(value);
  return [path, ...entries.flatMap(([key, each]) => placesOf(each, [...path, key]))];
}

function replaced(document: unknown, [key, ...rest]: readonly (string | number)[], by: unknown): unknown {
  if (key === undefined) return by;
  if (Array.isArray(document))
    return document.map((each, i) => (i === key ? replaced(each, rest, by) : each));
  const map = Object(document);
  return { ...map, [key]: replaced(map[key], rest, by) };
}

function isAllowed(work: () => Promise<void>): Promise<boolean> {
  return work().then(
    () => true,
    (error: unknown) => {
      if (error instanceof GoodgateError && error.code === 'outside-roots') return false;
      throw error;
    },
  );
}

/** Every file that would be written for a job. */
function written({ out, job }: ClipJobData): string[] {
  const names = [
    ...[resultFile(job.id), originalMeasurementFile(job.clip.name)],
    originalMarkersFile(job.clip.name),
    ...job.judge.map(({ target }) => originalVerdictFile(target, job.clip.name)),
    ...job.outputs.flatMap(({ path, key }) => [
      ...[path, temporaryName(path, key, 'a'), measurementFile(path), verdictFile(path), markersFile(path)],
    ]),
  ];
  return names.map((name) => below(out, name));
}

/** What ffmpeg would be told, without the texts it is told to write as they are. */
function told({ out, job }: ClipJobData): string {
  const made = job.outputs.map((output) => ({
    output,
    temporaryPath: below(out, temporaryName(output.path, output.key, 'a')),
    baked:
      output.recipe.rendering === null
        ? null
        : {
            steps: [],
            description: '',
            source: '',
            notes: [],
            error: { mean: 0, p999: 0, worst: 0 } as never,
          },
    quantiser: null,
  }));
  const command = makeCommand({ clip: job.clip, outputs: made, taps: [], capabilities: CAPABILITIES });
  const plain = command.outputs.flatMap(({ options }, index) => {
    const { burnIn, reel } = job.outputs[index]?.recipe ?? { burnIn: null, reel: null };
    const name = [burnIn?.reel ?? null, burnIn?.clipName ?? null].filter((part) => part !== null);
    const drawn = [name.join('  '), burnIn?.text ?? ''].map((text) => text.replace(/\p{Cc}/gu, '\ufffd'));
    return options.map((option) =>
      option === `reel_name=${reel}`
        ? ''
        : drawn.reduce((left, text) => left.replace(`text=${escapeDrawtext(text)}`, ''), option),
    );
  });
  return [...command.inputs.flatMap(({ options }) => options), ...plain].join('\n');
}

it('no field of a job leads outside, whatever stands in it', async () => {
  const roots = ['card', 'out', 'looks'].map((name) => join(folder, name));
  expect(await isAllowed(() => requireWritable(real, roots))).toBe(true);
  expect(await isAllowed(() => requireReadable(real, roots))).toBe(true);
  expect(told(real)).toContain('libx264');

  let tried = 0;
  let letThrough = 0;
  for (const place of placesOf(real)) {
    for (const by of [...TEXTS, ...VALUES]) {
      tried += 1;
      const { success, data } = clipJobData.safeParse(replaced(real, place, by));
      if (!success) continue;
      letThrough += 1;
      const label = `${place.join('.')} = ${JSON.stringify(by).slice(0, 60)}`;
      if (!(await isAllowed(() => requireWritable(data, roots)))) continue;
      if (!(await isAllowed(() => requireReadable(data, roots)))) continue;
      for (const file of written(data)) expect(file.startsWith(`${data.out}${sep}`), label).toBe(true);
      expect(data.out.startsWith(folder), label).toBe(true);
      expect(data.job.clip.path.startsWith(folder), label).toBe(true);
      try {
        expect(told(data), label).not.toContain('CANARY');
      } catch (error) {
        // A job that contradicts itself is refused before anything is started.
        if (!(error instanceof GoodgateError) || error.code !== 'bad-job') throw error;
      }
    }
  }
  expect(tried).toBeGreaterThan(5_000);
  expect(letThrough).toBeGreaterThan(100);
  expect(letThrough).toBeLessThan(tried / 2);
});

it('a root that is not there allows nothing', async () => {
  expect(await isAllowed(() => requireReadable(real, ['/volume-that-is-not-mounted']))).toBe(false);
});
