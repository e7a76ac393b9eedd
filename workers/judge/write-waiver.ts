import { isDeepStrictEqual } from 'node:util';
import lockfile from 'proper-lockfile';
import { isMap, isScalar, isSeq, parseDocument } from 'yaml';
import { readText, SMALL_DOCUMENT } from '../../jobs/documents/load-document.js';
import { GoodgateError } from '../../jobs/errors.js';
import { loadWaivers } from '../../jobs/verdict/load-waivers.js';
import { type Waiver, waiver, waiversFile } from '../../jobs/verdict/waivers.js';
import { writeFailure, writeWhole } from '../batch/write-whole.js';

const HEAD = `# Faults that people accepted in the master beside this file. goodgate waive adds to it; it may be edited by hand.
# A waiver is valid only for the file with this SHA-256, up to and including the day "until".
schema: goodgate/waivers@1
waivers: []
`;

/**
 * Adds one waiver to those beside a master, or renews the one of the same finding, target, range and file.
 * Comments in the file are kept. Errors: bad-document (what is there already is no waiver file),
 * folder-busy, cannot-write, disk-full.
 *
 * @returns the file written.
 */
export async function writeWaiver(master: string, added: Waiver): Promise<string> {
  const entry = waiver.parse(added);
  const file = waiversFile(master);
  const release = await lock(file);
  try {
    const there = await loadWaivers(master);
    const document = parseDocument(there === null ? HEAD : await readText(file, SMALL_DOCUMENT), {
      version: '1.2',
    });
    const list = document.get('waivers', true);
    if (!isMap(document.contents) || !isSeq(list)) throw new Error('a validated waiver file has no list');
    list.flow = false;
    const index = (there ?? []).findIndex((known) => isSame(known, entry));
    const node = document.createNode(entry);
    quoteTimecodes(node);
    if (index < 0) list.add(node);
    else list.set(index, node);
    await writeWhole(file, document.toString({ lineWidth: 0 }));
  } finally {
    await release();
  }
  return file;
}

/** YAML 1.1, which other programs may still use, reads 10:00:00:00 without quotes as a number. */
function quoteTimecodes(entry: unknown): void {
  const range = isMap(entry) ? entry.get('range') : undefined;
  if (!isMap(range)) return;
  range.flow = true;
  for (const { value } of range.items) {
    if (isScalar(value) && typeof value.value === 'string') value.type = 'QUOTE_DOUBLE';
  }
}

function isSame(known: Waiver, added: Waiver): boolean {
  const identity = ({ finding, target, range, unmeasured = false, sha256 }: Waiver): unknown[] => [
    finding,
    target,
    range,
    unmeasured,
    sha256,
  ];
  return isDeepStrictEqual(identity(known), identity(added));
}

/**
 * Two people who waive at the same time must not lose an entry. The lock of a process that died expires after
 * ten seconds.
 */
async function lock(file: string): Promise<() => Promise<void>> {
  try {
    const release = await lockfile.lock(file, {
      realpath: false,
      stale: 10_000,
      retries: { retries: 50, factor: 1, minTimeout: 100, maxTimeout: 100 },
      onCompromised: () => undefined,
    });
    return () => release().catch(() => undefined);
  } catch (cause) {
    if (cause instanceof Error && 'code' in cause && cause.code === 'ELOCKED') {
      throw new GoodgateError('folder-busy', {
        what: 'another goodgate is writing waivers for this file',
        where: file,
        next: 'try again in a moment',
        cause,
      });
    }
    throw writeFailure(file, cause);
  }
}
