import { createHash } from 'node:crypto';
import { join } from 'node:path';
import type { Submission } from '../../../jobs/plan/submission.js';
import { type ClipJobData, clipJobData } from '../../../jobs/queue/messages.js';
import { SUBMISSION_FILE } from '../../../workers/batch/folder.js';
import { writeJson } from '../../../workers/batch/write-whole.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';

/** What marks a folder as that of a batch. */
export async function markFolder(folder: string, marked: Partial<Submission> = {}): Promise<void> {
  const submitted: Submission = {
    ...{ schema: 'goodgate/submission@1', batch: 'b', run: 'r', submittedAt: '2026-11-30T20:00:00.000Z' },
    ...{ by: { user: 'anna', host: 'cart' }, shared: true },
    ...{ priority: 'normal', paused: null },
    software: { goodgate: '1', code: 'c', ffmpeg: '5.1' },
    ...marked,
  };
  await writeJson(join(folder, SUBMISSION_FILE), submitted);
}

/**
 * The job of a clip in a folder that is the batch's too: nothing is made of it, and it is judged by nothing.
 */
export async function clipJob(folder: string, name: string): Promise<ClipJobData> {
  const id = createHash('sha256').update(name).digest('hex').slice(0, 20);
  const path = join(folder, name);
  await markFolder(folder);
  return clipJobData.parse({
    ...{ batch: 'b', run: 'r', out: folder },
    job: {
      ...{ id, clipKey: id, outputs: [], judge: [], estimate: { seconds: 1 } },
      clip: { path, name, facts: await probeClip(path, {}), colour: null },
    },
  });
}
