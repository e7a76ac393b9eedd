import { createHash } from 'node:crypto';
import { appendFileSync, mkdirSync } from 'node:fs';
import { realpath, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { z } from 'zod';
import { readPlainFile } from '../../jobs/documents/read-plain-file.js';
import { type HashFormat, hashFormat, isHashFormat } from '../../jobs/hash-list/hash-format.js';
import { writeFailure } from '../batch/write-whole.js';
import type { Hashes } from './hash-files.js';
import type { CardFile } from './walk-card.js';

/** What was read longer ago may have changed on the disk since, which a size and a time do not show. */
const HOLDS_MS = 24 * 60 * 60 * 1000;
const MOST_BYTES = 2 ** 29;

const entry = z.object({
  path: z.string(),
  bytes: z.number(),
  modifiedNs: z.string(),
  changedNs: z.string(),
  /** When it was hashed, milliseconds since 1970. */
  at: z.number(),
  hashes: z.partialRecord(hashFormat, z.string()),
});
type Entry = z.infer<typeof entry>;

/**
 * What a pass over a card has hashed so far, so that the next one goes on where it was stopped. It lies in
 * the state folder, not on the card, and goes when a pass is complete: the next one then reads everything.
 */
export interface Journal {
  /** The hashes of a file that is as it was then, where all these formats are known. */
  find(file: CardFile, formats: readonly HashFormat[]): Hashes | null;
  add(file: CardFile, hashes: Hashes): void;
  remove(): Promise<void>;
}

/**
 * @param anew forget what an earlier pass hashed
 * @throws GoodgateError `cannot-write`, `disk-full`
 */
export async function openJournal(
  stateFolder: string,
  card: string,
  { now, anew = false }: { readonly now: Date; readonly anew?: boolean },
): Promise<Journal> {
  const name = createHash('sha256')
    .update(await realpath(card).catch(() => card))
    .digest('hex')
    .slice(0, 32);
  const path = join(stateFolder, 'hashing', `${name}.jsonl`);
  if (anew) await rm(path, { force: true });
  const known = await readEntries(path, now);
  return {
    find(file, formats) {
      const found = known.get(file.path);
      const isSame =
        found?.bytes === file.bytes &&
        found.modifiedNs === file.modifiedNs &&
        found.changedNs === file.changedNs;
      if (found === undefined || !isSame) return null;
      const hashes = Object.entries(found.hashes).flatMap(([format, value]) =>
        isHashFormat(format) && formats.includes(format) ? [[format, value] as const] : [],
      );
      return hashes.length === formats.length ? new Map(hashes) : null;
    },
    add({ path: of, bytes, modifiedNs, changedNs }, hashes) {
      const at = Date.now();
      const line: Entry = { path: of, bytes, modifiedNs, changedNs, at, hashes: Object.fromEntries(hashes) };
      try {
        mkdirSync(dirname(path), { recursive: true });
        appendFileSync(path, `${JSON.stringify(line)}\n`);
      } catch (error) {
        throw writeFailure(path, error);
      }
    },
    remove: () => rm(path, { force: true }),
  };
}

/** A line that was cut short, or that nobody wrote, is left out: its file is read again. */
async function readEntries(path: string, now: Date): Promise<Map<string, Entry>> {
  const text = (await readPlainFile(path, MOST_BYTES).catch(() => Buffer.alloc(0))).toString('utf8');
  const known = new Map<string, Entry>();
  for (const line of text.split('\n')) {
    const parsed = entry.safeParse(jsonOf(line));
    const age = parsed.success ? now.getTime() - parsed.data.at : Number.NaN;
    if (parsed.success && age >= 0 && age < HOLDS_MS) known.set(parsed.data.path, parsed.data);
  }
  return known;
}

function jsonOf(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return null;
  }
}
