import { cp, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { execa, type Options, type ResultPromise } from 'execa';
import { askCapabilities } from '../../workers/capabilities/ask-ffmpeg.js';
import { CAPABILITIES_VARIABLE } from '../build-first.js';

/** The built program: `npm test` builds it first, so that what is tested is what a user starts. */
const MAIN = resolve(dirname(fileURLToPath(import.meta.url)), '../../dist/cli/main.js');

/** Of this file's process; the answers lie in a folder for all of a run of the tests. */
let asked: Promise<unknown> | null = null;

/**
 * A target that only copies, for where it matters what becomes of a job and not what is in it: it requires
 * nothing, so that nothing is compared, and there are no stills of findings.
 */
export function copyTarget(name = 'copy', more = ''): string {
  return [
    `schema: goodgate/target@1\nname: ${name}\ntitle: A copy`,
    `make: { container: mkv, video: { codec: ffv1, bitDepth: 8, chroma: "4:2:0" }${more} }\n`,
  ].join('\n');
}

export interface Workshop {
  readonly folder: string;
  /** Starts goodgate with a state folder and a working folder of its own. Never rejects for an exit code. */
  start(args: readonly string[], options?: Options): ResultPromise<{ reject: false }>;
  /** Puts what ffmpeg can do into another state folder, before anything is started with that. */
  tellCapabilities(state: string): Promise<void>;
  close(): Promise<void>;
}

async function tellCapabilities(state: string): Promise<void> {
  const known = process.env[CAPABILITIES_VARIABLE];
  if (known === undefined) return;
  asked ??= askCapabilities({ cacheFolder: known });
  await asked;
  // Another test may be writing what it asked.
  const isWhole = (path: string): boolean => !path.endsWith('.part');
  await cp(known, state, { recursive: true, filter: isWhole });
}

/**
 * A folder with a private state: nothing of a test meets another test, or the user's own queue. It knows what
 * ffmpeg can do, so that not every test starts a dozen programs to ask.
 */
export async function openWorkshop(): Promise<Workshop> {
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-system-'));
  await tellCapabilities(join(folder, 'state'));
  return {
    folder,
    tellCapabilities,
    start(args, options = {}) {
      return execa('node', [MAIN, ...args], {
        cwd: folder,
        env: { GOODGATE_STATE: join(folder, 'state'), REDIS_URL: '' },
        reject: false,
        stdin: 'ignore',
        ...options,
      }) as ResultPromise<{ reject: false }>;
    },
    async close() {
      await rm(folder, { recursive: true, force: true, maxRetries: 5 });
    },
  };
}
