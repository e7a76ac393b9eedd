import { realpath } from 'node:fs/promises';
import { basename } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { HashFormat, ListedHash } from '../../jobs/hash-list/hash-format.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { PlannedClip } from '../../jobs/plan/plan.js';
import { firstOf } from '../../jobs/words/numbers.js';
import { filesOf, isManyFiles } from '../file/clip-files.js';
import { fileChanged } from '../file/file-state.js';
import { hashFileIn } from './hash-files.js';
import { type Hasher, makeHasher } from './hasher.js';
import { listedClips } from './listed-clips.js';

/** Of the formats of ASC MHL the one of 128 bits that costs least. */
const FORMAT: HashFormat = 'xxh128';

/**
 * How far the hash may be ahead of the decoder. What the decoder has read a moment ago, and what it reads
 * next, then lies in the memory of the system: the disk is read once.
 */
const AHEAD_BYTES = 128 << 20;

/** A clip whose files are to be hashed while they are decoded. */
export type ClipToHash = Pick<PlannedClip, 'path' | 'listed'> & { readonly facts: ClipFacts };

/** The hash of a clip while it is taken. */
export interface HashBeside {
  /** Tells which share of the clip the decoder has read, 0..1. */
  reached(fraction: number): void;
  /**
   * The hash of every byte, of several files one after the other, once the rest is read.
   *
   * @throws GoodgateError `clip-damaged` where a hash list says otherwise; `missing-file`, `file-changed`,
   * `interrupted`
   */
  finish(): Promise<ListedHash>;
  /** Why decoding failed: the copy is damaged, where a hash list proves that; otherwise the error itself. */
  explain(error: unknown): Promise<unknown>;
  stop(): Promise<void>;
}

/** Errors that a damaged copy explains. */
const OF_DECODING: readonly string[] = ['ffmpeg-failed', 'ffmpeg-timeout', 'measure-failed'];

/**
 * Hashes every byte of a clip beside its decode, at its pace. Where a hash list names the clip or files of
 * it, they are held against it.
 *
 * @param onShare called with the share of its bytes that is hashed, 0..1
 * @throws GoodgateError `bad-document` for a list that is not whole, `missing-file`
 */
export async function hashBeside(
  clip: ClipToHash,
  signal: AbortSignal,
  onShare?: (share: number) => void,
): Promise<HashBeside> {
  const { path, facts } = clip;
  const files = await filesOf(path);
  const listed = await listedHashes(clip, files);
  const stopped = new AbortController();
  const pace = paceOf(facts);
  // Whoever waits for the decoder must not wait for ever.
  const release = (): void => pace.reach(Number.POSITIVE_INFINITY);
  signal.addEventListener('abort', release, { once: true });
  const taken = takeHashes(files, {
    ...{ listed, signal: AbortSignal.any([signal, stopped.signal]) },
    turn: (at) => pace.turn(at),
    onBytes: (bytes) => onShare?.(Math.min(1, bytes / Math.max(1, facts.bytes))),
  });
  taken.catch(() => undefined);
  const finish = async (): Promise<ListedHash> => {
    release();
    const { value, bytes, damaged } = await taken;
    if (bytes !== facts.bytes) throw fileChanged(path);
    if (damaged.length > 0) throw notAsListed(path, damaged);
    return { format: FORMAT, value };
  };
  const stop = async (): Promise<void> => {
    stopped.abort();
    release();
    await taken.catch(() => undefined);
    signal.removeEventListener('abort', release);
  };
  return {
    reached: (fraction) => pace.reach(fraction * facts.bytes),
    finish,
    explain: async (error) => {
      const isOfDecoding = error instanceof GoodgateError && OF_DECODING.includes(error.code);
      if (listed.size === 0 || !isOfDecoding) return error;
      const told = await finish().catch((found: unknown) => found);
      return told instanceof GoodgateError && told.code === 'clip-damaged' ? told : error;
    },
    stop,
  };
}

/**
 * Reads a file that is used beside a clip, where a hash list names it, and holds it against that.
 *
 * @throws GoodgateError `clip-damaged`; `bad-document` for a list that is not whole, `missing-file`,
 * `interrupted`
 */
export async function requireAsListed(
  path: string,
  listed: ListedHash | undefined,
  signal: AbortSignal,
): Promise<void> {
  const files = await filesOf(path);
  const demanded = await listedHashes({ path, ...(listed === undefined ? {} : { listed }) }, files);
  if (demanded.size === 0) return;
  const { damaged } = await takeHashes(files, {
    ...{ listed: demanded, signal },
    turn: () => Promise.resolve(),
    onBytes: () => undefined,
  });
  if (damaged.length > 0) throw notAsListed(path, damaged);
}

function notAsListed(path: string, damaged: readonly string[]): GoodgateError {
  return new GoodgateError('clip-damaged', {
    what: `the clip is not as in the hash list of its card: ${firstOf(damaged, 3)}`,
    where: path,
    next: 'copy it once more from the card, or from another copy that goodgate verify passes',
  });
}

/** What a hash list says of the files of a clip: of several the list itself is asked for each. */
async function listedHashes(
  { path, listed }: Pick<ClipToHash, 'path' | 'listed'>,
  files: readonly string[],
): Promise<ReadonlyMap<string, ListedHash>> {
  if (!isManyFiles(path)) return new Map(listed === undefined ? [] : [[path, listed]]);
  return (await listedClips(files)).hashes;
}

interface Pace {
  /** Bytes the decoder has read. */
  reach(bytes: number): void;
  /** Ends when the bytes from there on may be read. */
  turn(at: number): Promise<void>;
}

/** Without a length there is no share of it: the hash is then taken as fast as it goes. */
function paceOf({ container, video }: ClipFacts): Pace {
  const isTimed = (container.durationSeconds ?? video?.durationSeconds ?? 0) > 0;
  let limit = isTimed ? AHEAD_BYTES : Number.POSITIVE_INFINITY;
  let waiting: (() => void) | null = null;
  return {
    reach: (bytes) => {
      limit = Math.max(limit, bytes + AHEAD_BYTES);
      waiting?.();
    },
    turn: async (at) => {
      while (at > limit) {
        await new Promise<void>((resolve) => {
          waiting = resolve;
        });
      }
    },
  };
}

interface Taken {
  readonly value: string;
  readonly bytes: number;
  /** Files that are not as listed, with both hashes. */
  readonly damaged: readonly string[];
}

async function takeHashes(
  files: readonly string[],
  options: {
    readonly listed: ReadonlyMap<string, ListedHash>;
    readonly signal: AbortSignal;
    readonly turn: (at: number) => Promise<void>;
    readonly onBytes: (bytes: number) => void;
  },
): Promise<Taken> {
  const { listed, signal, turn } = options;
  const whole = await makeHasher(FORMAT);
  const damaged: string[] = [];
  let bytes = 0;
  const also: Hasher['update'] = (piece) => whole.update(piece);
  for (const file of files) {
    const demanded = listed.get(file);
    const from = bytes;
    const hashes = await hashFileIn(demanded === undefined ? [] : [demanded.format], await realpath(file), {
      ...{ signal, also, turn: (at) => turn(from + at) },
      onBytes: (count) => {
        bytes += count;
        options.onBytes(bytes);
      },
    });
    if (demanded === undefined) continue;
    const found = hashes.get(demanded.format);
    if (found === demanded.value) continue;
    damaged.push(`${basename(file)}: its ${demanded.format} is ${found}, listed is ${demanded.value}`);
  }
  return { value: whole.digest(), bytes, damaged };
}
