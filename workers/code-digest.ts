import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** All that makes, measures and judges, with what it takes from the queue and leaves in the folder. */
const FOLDERS = ['./', '../jobs/', '../signal/'];
const CODE = /(?<!\.d)\.(js|ts|wasm|yaml)$/;

let known: string | undefined;

/**
 * A digest of the program's own code: a version's number stays while the code is worked on. Read once in a
 * process, which runs what it has loaded.
 */
export function codeDigest(): string {
  known ??= digestOfCode();
  return known;
}

function digestOfCode(): string {
  const hash = createHash('sha256');
  for (const folder of FOLDERS) {
    const home = fileURLToPath(new URL(folder, import.meta.url));
    const files = readdirSync(home, { recursive: true, encoding: 'utf8' }).filter((file) => CODE.test(file));
    for (const file of files.sort()) hash.update(file).update(readFileSync(join(home, file)));
  }
  return hash.digest('hex');
}
