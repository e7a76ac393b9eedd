import { createHash } from 'node:crypto';
import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { below, STILLS_FOLDER, stillsFile } from '../../batch/folder.js';
import { readDocument } from '../../batch/read-document.js';
import { writeJson } from '../../batch/write-whole.js';
import { codeDigest } from '../../code-digest.js';
import { requireUnderRoots } from '../../roots.js';
import type { WantedStill } from './choose-stills.js';
import type { Still, Stills } from './still.js';

/** Only what we drew stands in a page: the folder may come from anywhere. */
const PICTURE = /^data:image\/(png|jpeg);base64,[A-Za-z0-9+/]+={0,2}$/;
const MOST_CHARACTERS = 8 * 2 ** 20;

const still = z.strictObject({
  frame: z.number().int().nonnegative(),
  timecode: z.string().max(20).nullable(),
  dataUri: z.string().max(MOST_CHARACTERS).regex(PICTURE),
  caption: z.string().max(2_000),
});

const keptStills = z.strictObject({
  schema: z.literal('goodgate/stills@1'),
  /** What they were drawn of, and by which program. */
  key: z.string(),
  stills: z.array(z.tuple([z.string(), z.array(still)])),
});

/** Where the stills of one file are kept from one report to the next. */
export interface KeptStills {
  /** Those of the very same file, findings and program; null where they have to be drawn. */
  read(wanted: readonly WantedStill[]): Promise<Stills | null>;
  /** @throws GoodgateError `disk-full`, `cannot-write`, `outside-roots` */
  write(wanted: readonly WantedStill[], stills: Stills): Promise<void>;
}

/**
 * The stills that a batch folder keeps of a file. A report is written again with every card that joins a
 * batch: without them it would draw those of all clips anew.
 *
 * @param out the batch folder
 * @param document of the file's measurement, below it
 * @param measurement of the file as it stands on disk now
 */
export function keptStillsOf(out: string, document: string, measurement: Measurement): KeptStills {
  const path = below(out, stillsFile(document));
  const { bytes, modified } = measurement.file;
  const keyOf = (wanted: readonly WantedStill[]): string =>
    createHash('sha256')
      .update(JSON.stringify([codeDigest(), measurement.key, bytes, modified, wanted]))
      .digest('hex');
  return {
    async read(wanted) {
      const kept = await readDocument(path, keptStills);
      return kept === null || kept.key !== keyOf(wanted) ? null : new Map(kept.stills);
    },
    async write(wanted, stills) {
      await requireUnderRoots(path, [out]);
      const drawn: [string, Still[]][] = [...stills].map(([key, all]) => [key, [...all]]);
      await writeJson(path, { schema: 'goodgate/stills@1', key: keyOf(wanted), stills: drawn });
    },
  };
}

/** Removes the stills of files that a batch no longer shows; what cannot be removed stays. */
export async function removeOtherStills(out: string, documents: ReadonlySet<string>): Promise<void> {
  const wanted = new Set([...documents].map(stillsFile));
  const there = await readdir(join(out, STILLS_FOLDER), { recursive: true, withFileTypes: true }).catch(
    () => [],
  );
  for (const entry of there) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    if (!wanted.has(path.slice(out.length + 1))) await rm(path, { force: true }).catch(() => undefined);
  }
}
