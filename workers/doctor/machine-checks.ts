import { constants } from 'node:fs';
import { access, stat, statfs } from 'node:fs/promises';
import { availableParallelism, tmpdir, totalmem } from 'node:os';
import { dirname, join } from 'node:path';
import { execa } from 'execa';
import { bytes } from '../../jobs/words/quantities.js';
import { makeTemporaryFolder, type TemporaryFolder } from '../children/temporary-folder.js';
import { type Check, INSTALL, limited, no, yes } from './check.js';

/** Below these nothing useful can be made; common practice, no source. */
const LITTLE_SPACE = 20e9;
const NO_SPACE = 1e9;
const LITTLE_MEMORY = 2e9;
const NODE_TRIED: readonly [number, number] = [20, 24];

export function nodeCheck(version: string): Check {
  const major = Number.parseInt(version.replace(/^v/, ''), 10);
  if (major < NODE_TRIED[0]) return no('node', `${version}: older than ${NODE_TRIED[0]}`, INSTALL.node);
  if (major > NODE_TRIED[1])
    return limited('node', `${version}: newer than ${NODE_TRIED[1]}, not tried`, INSTALL.node);
  return yes('node', version);
}

export function coresCheck(cores = availableParallelism()): Check {
  if (cores >= 2) return yes('cores', String(cores));
  return limited(
    'cores',
    '1: decoding, encoding and measuring take turns',
    'use a machine with more cores, or give this one more',
  );
}

/** Memory of the machine, or of the container where that is less. */
export function memoryCheck(memory = memoryBytes()): Check {
  if (memory >= LITTLE_MEMORY) return yes('memory', bytes(memory));
  return limited(
    'memory',
    `${bytes(memory)}: too little for pictures beyond HD`,
    'give it 4 GB or more, or work with --concurrency 1',
  );
}

function memoryBytes(): number {
  const allowed = process.constrainedMemory();
  return allowed > 0 ? Math.min(allowed, totalmem()) : totalmem();
}

/** Space and the right to write in a folder, or where it would be made. */
export async function folderCheck(name: string, folder: string): Promise<Check> {
  const existing = await nearestExisting(folder);
  const where = existing === folder ? folder : `${folder} (to be made in ${existing})`;
  try {
    if (!(await stat(existing)).isDirectory()) {
      return no(name, `${existing} is a file`, 'choose another folder');
    }
    await access(existing, constants.W_OK | constants.X_OK);
  } catch {
    return no(
      name,
      `${where}: may not be written to`,
      'change its owner or rights, or choose another folder',
    );
  }
  const { bavail, bsize } = await statfs(existing);
  const free = bavail * bsize;
  const found = `${where}: ${bytes(free)} free`;
  if (free < NO_SPACE) return no(name, found, 'free some space, or choose another folder');
  if (free < LITTLE_SPACE)
    return limited(name, found, 'enough for a trial only: free some space for a night of work');
  return yes(name, found);
}

/** Measuring hands frames over through named pipes. */
export async function pipeCheck(): Promise<Check> {
  const name = 'named pipes';
  let folder: TemporaryFolder | undefined;
  try {
    folder = makeTemporaryFolder('doctor');
    const made = await execa('mkfifo', [join(folder.path, 'pipe')], {
      stdin: 'ignore',
      timeout: 10_000,
      reject: false,
    });
    if (!made.failed) return yes(name, `mkfifo works in ${tmpdir()}`);
    return made.exitCode === undefined
      ? no(name, 'mkfifo is not installed', INSTALL.coreutils)
      : no(
          name,
          `mkfifo fails in ${tmpdir()}: ${made.stderr.trim()}`,
          'set TMPDIR to a folder on a local disk',
        );
  } catch (error) {
    return no(
      name,
      `${tmpdir()} cannot be written to (${String(error)})`,
      'set TMPDIR to a folder on a local disk',
    );
  } finally {
    folder?.remove();
  }
}

async function nearestExisting(folder: string): Promise<string> {
  for (let at = folder; ; at = dirname(at)) {
    const there = await stat(at).then(
      () => true,
      () => false,
    );
    if (there || at === dirname(at)) return at;
  }
}
