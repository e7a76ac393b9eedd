import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** Folders of the code that figures depend on: reading, measuring, and the maths of signals. */
const FOLDERS = ['../../ffmpeg/', '../', '../../../signal/'];
const CODE = /(?<!\.d)\.(js|ts|wasm)$/;

/**
 * A digest of the code that figures depend on: the version number does not change during development.
 */
export function codeDigest(): string {
  const hash = createHash('sha256');
  for (const folder of FOLDERS) {
    const home = fileURLToPath(new URL(folder, import.meta.url));
    const files = readdirSync(home, { recursive: true, encoding: 'utf8' }).filter((file) => CODE.test(file));
    for (const file of files.sort()) hash.update(file).update(readFileSync(join(home, file)));
  }
  return hash.digest('hex');
}
