import { createHash } from 'node:crypto';
import { createXXHash3, createXXHash32, createXXHash64, createXXHash128, type IHasher } from 'hash-wasm';
import type { HashFormat } from '../../jobs/hash-list/hash-format.js';
import { c4OfDigest, digestOfC4 } from './c4.js';

/** One hash of one stream of bytes; used once. */
export interface Hasher {
  update(bytes: Uint8Array): void;
  digest(): string;
}

/** xxHash with seed 0, big endian, in lower-case hexadecimal digits, as the list has it (appendix D). */
function wasmHasher(hasher: IHasher): Hasher {
  hasher.init();
  return { update: (bytes) => void hasher.update(bytes), digest: () => hasher.digest('hex') };
}

function nodeHasher(name: 'md5' | 'sha1'): Hasher {
  const hash = createHash(name);
  return { update: (bytes) => void hash.update(bytes), digest: () => hash.digest('hex') };
}

function c4Hasher(): Hasher {
  const hash = createHash('sha512');
  return { update: (bytes) => void hash.update(bytes), digest: () => c4OfDigest(hash.digest()) };
}

const MAKERS: Readonly<Record<HashFormat, () => Promise<Hasher>>> = {
  c4: async () => c4Hasher(),
  md5: async () => nodeHasher('md5'),
  sha1: async () => nodeHasher('sha1'),
  xxh128: async () => wasmHasher(await createXXHash128()),
  xxh3: async () => wasmHasher(await createXXHash3()),
  xxh32: async () => wasmHasher(await createXXHash32(0)),
  xxh64: async () => wasmHasher(await createXXHash64()),
};

export function makeHasher(format: HashFormat): Promise<Hasher> {
  return MAKERS[format]();
}

/** Hash of bytes that are at hand. */
export async function hashOf(format: HashFormat, pieces: Iterable<Uint8Array>): Promise<string> {
  const hasher = await makeHasher(format);
  for (const piece of pieces) hasher.update(piece);
  return hasher.digest();
}

/** The bytes a hash stands for. Throws RangeError for a text that is no hash. */
export function bytesOfHash(format: HashFormat, hash: string): Buffer {
  const bytes = format === 'c4' ? digestOfC4(hash) : Buffer.from(hash, 'hex');
  if (bytes === null) throw new RangeError(`no ${format}: ${hash}`);
  return bytes;
}
