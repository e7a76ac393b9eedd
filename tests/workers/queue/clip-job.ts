import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { type ClipJobData, clipJobData } from '../../../jobs/queue/messages.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';

/**
 * The job of a clip in a folder that is the batch's too: nothing is made of it, and it is judged by nothing.
 */
export async function clipJob(folder: string, name: string): Promise<ClipJobData> {
  const id = createHash('sha256').update(name).digest('hex').slice(0, 20);
  const path = join(folder, name);
  return clipJobData.parse({
    ...{ batch: 'b', run: 'r', out: folder },
    job: {
      ...{ id, clipKey: id, outputs: [], judge: [], estimate: { seconds: 1 } },
      clip: { path, name, facts: await probeClip(path, {}), colour: null },
    },
  });
}
