import { createHash } from 'node:crypto';
import { mkdir, readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';
import { describeServer, type RedisServer } from '../../jobs/queue/connection.js';
import { readDocument } from '../../workers/batch/read-document.js';
import { writeJson } from '../../workers/batch/write-whole.js';

const KEEP_AT_MOST = 200;
const remembered = z.object({ out: z.string(), server: z.string() });

/** The folder of a batch, and the server it was queued on. */
export type Remembered = z.infer<typeof remembered>;

function folderOf(stateFolder: string): string {
  return join(stateFolder, 'batches');
}

/**
 * Remembers a batch in the state folder: its own folder is the truth of it, and must be found again when the
 * server forgot it, or ended with the run. What cannot be written is not remembered.
 */
export async function rememberBatch(stateFolder: string, out: string, server: RedisServer): Promise<void> {
  const folder = folderOf(stateFolder);
  const name = `${createHash('sha256').update(out).digest('hex').slice(0, 20)}.json`;
  try {
    await mkdir(folder, { recursive: true, mode: 0o700 });
    await writeJson(join(folder, name), { out, server: describeServer(server) } satisfies Remembered);
    await forgetOldest(folder);
  } catch {
    // It can still be named by its folder.
  }
}

async function forgetOldest(folder: string): Promise<void> {
  const names = await readdir(folder);
  if (names.length <= KEEP_AT_MOST) return;
  const aged = await Promise.all(
    names.map(async (name) => ({ name, at: (await stat(join(folder, name))).mtimeMs })),
  );
  aged.sort((a, b) => b.at - a.at);
  for (const { name } of aged.slice(KEEP_AT_MOST)) await rm(join(folder, name), { force: true });
}

/** Batches that were queued by way of this state folder, in no order. */
export async function rememberedBatches(stateFolder: string): Promise<Remembered[]> {
  const folder = folderOf(stateFolder);
  const names = await readdir(folder).catch(() => []);
  const all = await Promise.all(names.map((name) => readDocument(join(folder, name), remembered)));
  return all.flatMap((each) => each ?? []);
}
