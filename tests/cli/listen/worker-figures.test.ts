import { describe, expect, it } from 'vitest';
import type { QueueCounts } from '../../../cli/listen/queue-figures.js';
import { WorkerFigures } from '../../../cli/listen/worker-figures.js';
import { ERROR_CODES } from '../../../jobs/errors.js';
import { manifest } from '../../../jobs/manifest/manifest.js';
import type { ClipJobData } from '../../../jobs/queue/messages.js';
import { builtInTargets } from '../../../jobs/targets/load-target.js';
import { planBatch } from '../../../planner/plan-batch.js';
import type { ClipDone } from '../../../workers/handle-clip.js';
import { StageTimes } from '../../../workers/stage-times.js';
import { CAPABILITIES, clipFacts } from '../../planner/make-facts.js';
import { readExposition, seriesValue } from './exposition.js';

const SECRET = 'secret "name"\n{x="y"}';
const targets = new Map((await builtInTargets()).map((each) => [each.name, each]));

/** A clip of 100 frames of 3840x2160, of which one proxy was made, `written` bytes long. */
function doneClip(name: string, written: number): [ClipJobData, ClipDone] {
  const clips = [{ file: name, facts: clipFacts({ width: 3840, height: 2160 }, { bytes: 7_000 }) }];
  const plan = planBatch({
    manifest: manifest.parse({ schema: 'goodgate/manifest@1', title: 'x', root: '.', clips }),
    ...{ root: '/card', out: '/work/out', targets, chosen: ['proxy-h264'], capabilities: CAPABILITIES },
    ...{ version: '1', looks: new Map(), workers: 2 },
  });
  const [job] = plan.jobs;
  const [output] = job?.outputs ?? [];
  if (job === undefined || output === undefined) throw new Error('nothing was planned');
  const times = new StageTimes();
  Object.assign(times.seconds, { decode: 4, measure: 2, compare: 0, judge: 0.5 });
  const item: ClipDone['clip']['items'][number] = {
    ...{ kind: 'output', target: output.target, path: output.path, word: 'warn', bytes: written },
    ...{ measurement: null, verdict: null, sha256: { measurement: null, verdict: null }, losses: [] },
    ...{ modified: null, changed: null, since: null },
  };
  const clip: ClipDone['clip'] = {
    ...{
      name,
      job: job.id,
      state: 'done',
      error: null,
      original: null,
      run: null,
      wasThere: false,
      bytesAsBefore: null,
      slate: null,
    },
    ...{ items: [item], seconds: 7 },
  };
  const data = { batch: 'b', run: 'r', out: '/work/out', job };
  return [data, { clip, verdicts: [], times, made: [output.key] }];
}

function figures(countQueue: () => Promise<QueueCounts | null> = async () => null) {
  return new WorkerFigures({
    software: { goodgate: '1', ffmpeg: '5.1' },
    state: () => ({ takesClips: true, isOpen: false, places: 3 }),
    countQueue,
  });
}
const read = async (of: WorkerFigures) => readExposition((await of.text()).text);

describe('figures of a worker', () => {
  it('count seconds, megapixels and bytes of what was done', async () => {
    const seen = figures();
    seen.done(...doneClip('a.mov', 1_234));
    const told = await read(seen);
    const at = (name: string, labels = {}) => seriesValue(told, name, labels);
    expect(at('goodgate_stage_seconds_total', { stage: 'decode' })).toBe(4);
    expect(at('goodgate_stage_seconds_total', { stage: 'judge' })).toBe(0.5);
    // 100 frames of 3840 x 2160; the proxy is 1920 x 1080.
    expect(at('goodgate_megapixels_total', { stage: 'decode' })).toBeCloseTo(829.44, 9);
    expect(at('goodgate_megapixels_total', { stage: 'measure' })).toBeCloseTo(207.36, 9);
    expect(at('goodgate_bytes_total', { direction: 'read' })).toBe(7_000);
    expect(at('goodgate_bytes_total', { direction: 'written' })).toBe(1_234);
    expect(at('goodgate_verdicts_total', { verdict: 'warn' })).toBe(1);
    expect(at('goodgate_clip_seconds_bucket', { le: '3' })).toBe(0);
    expect(at('goodgate_clip_seconds_bucket', { le: '10' })).toBe(1);
    expect(at('goodgate_worker_up')).toBe(1);
    expect(at('goodgate_worker_open')).toBe(0);
    expect(at('goodgate_worker_places')).toBe(3);
  });

  it('what was there already was neither read nor written', async () => {
    const seen = figures();
    const [data, done] = doneClip('a.mov', 1_234);
    seen.done(data, {
      ...done,
      made: [],
      clip: { ...done.clip, wasThere: true, bytesAsBefore: null, slate: null },
    });
    const told = await read(seen);
    expect(seriesValue(told, 'goodgate_bytes_total', { direction: 'read' })).toBe(0);
    expect(seriesValue(told, 'goodgate_clip_seconds_count')).toBe(0);
    expect(seriesValue(told, 'goodgate_verdicts_total', { verdict: 'warn' })).toBe(1);
  });

  it('tell ends and codes apart: what goes elsewhere or was cancelled is no failure', async () => {
    const seen = figures();
    seen.ended('clip', { is: 'failed', why: 'disk-full: /x: no space' });
    seen.ended('clip', { is: 'again', why: 'disk-full: /x: no space' });
    seen.ended('clip', { is: 'failed', why: 'cancelled: by anna on cart' });
    seen.ended('clip', { is: 'cannot', why: 'missing-tool: ffmpeg' });
    const offered = 'left to another worker (b, process 7): ffmpeg-failed: /x: it died';
    seen.ended('clip', { is: 'cannot', why: offered, hasFailed: true });
    seen.ended('clip', { is: 'back' });
    seen.ended('report', { is: 'failed', why: `${SECRET}: x` });
    const told = await read(seen);
    const jobs = (kind: string, state: string) => seriesValue(told, 'goodgate_jobs_total', { kind, state });
    expect(
      ['failed', 'again', 'cancelled', 'cannot', 'back', 'done'].map((end) => jobs('clip', end)),
    ).toEqual([1, 1, 1, 2, 1, 0]);
    expect(jobs('report', 'failed')).toBe(1);
    const codes = told.filter(({ name }) => name === 'goodgate_failures_total');
    expect(codes.filter(({ value }) => value > 0).map(({ labels, value }) => [labels.code, value])).toEqual([
      ['ffmpeg-failed', 1],
      ['disk-full', 2],
      ['other', 1],
    ]);
    expect(codes).toHaveLength(Object.keys(ERROR_CODES).length + 1);
  });

  it('have as many series after a thousand clips as before, and no name among them', async () => {
    const seen = figures(async () => ({
      ...{ clips: { waiting: 5, active: 1, paused: 0, done: 2, failed: 0 }, batches: 1, workers: 4 },
    }));
    const before = (await read(seen)).length;
    const [data, done] = doneClip('a.mov', 1);
    for (let n = 0; n < 1_000; n++) {
      const clip = { ...data.job.clip, name: `${n} ${SECRET}`, path: `/card/${n} ${SECRET}` };
      seen.stage(`${n}`, 'decode');
      seen.done({ ...data, job: { ...data.job, clip } }, done);
      seen.ended('clip', { is: 'failed', why: `${n} ${SECRET}: y` });
    }
    seen.stage('7', null);
    const { text } = await seen.text();
    const told = readExposition(text);
    expect(told).toHaveLength(before);
    expect(text).not.toContain('secret');
    expect(text).not.toContain('/card');
    expect(seriesValue(told, 'goodgate_clips_in_hand', { stage: 'decode' })).toBe(999);
    expect(seriesValue(told, 'goodgate_queue_clips', { state: 'waiting' })).toBe(5);
    expect(seriesValue(told, 'goodgate_queue_workers')).toBe(4);
  });

  it('of a queue that does not answer are missing, and come back', async () => {
    let counts: QueueCounts | null = null;
    const seen = figures(async () => counts);
    const gone = await read(seen);
    expect(seriesValue(gone, 'goodgate_queue_up')).toBe(0);
    for (const name of ['goodgate_queue_clips', 'goodgate_queue_batches', 'goodgate_queue_workers'])
      expect(seriesValue(gone, name), name).toBeUndefined();
    const clips = { waiting: 0, active: 0, paused: 3, done: 0, failed: 0 };
    counts = { clips, batches: 2, workers: 1 };
    const back = await read(seen);
    expect(seriesValue(back, 'goodgate_queue_up')).toBe(1);
    expect(seriesValue(back, 'goodgate_queue_batches')).toBe(2);
    expect(seriesValue(back, 'goodgate_queue_clips', { state: 'paused' })).toBe(3);
  });
});
