import { createHash } from 'node:crypto';
import { resolve } from 'node:path';
import { readPlainFile } from '../jobs/documents/read-plain-file.js';
import { GoodgateError } from '../jobs/errors.js';
import { lookFile, type Manifest } from '../jobs/manifest/manifest.js';
import type { PlanRequest } from '../planner/plan-batch.js';
import type { KnownLook } from '../planner/planned-output.js';
import { CubeError, MAX_CUBE_CHARACTERS, parseCube } from '../signal/lut/cube-format.js';

/** Every look that a manifest names, read and understood, or why it cannot be. */
export async function findLooks(manifest: Manifest, folder: string): Promise<PlanRequest['looks']> {
  const written = [
    manifest.defaults?.look,
    ...(manifest.rules ?? []).map(({ set }) => set.look),
    ...manifest.clips.map(({ look }) => look),
  ];
  const names = new Set(
    written.flatMap((look) => (look === undefined || look === null ? [] : lookFile(look))),
  );
  const looks = new Map<string, KnownLook>();
  for (const name of names) {
    const path = resolve(folder, name);
    try {
      looks.set(name, { path, hash: await readLook(path) });
    } catch (error) {
      if (!(error instanceof GoodgateError || error instanceof CubeError)) throw error;
      // The plan refuses the outputs that want it, with the reason.
      looks.set(name, { path, fault: error instanceof CubeError ? error.message : error.what });
    }
  }
  return looks;
}

/**
 * The hash of a look that can be understood. Only a plain file of a look's size: a device would be read for
 * ever.
 *
 * @throws GoodgateError, CubeError
 */
async function readLook(path: string): Promise<string> {
  const content = await readPlainFile(path, MAX_CUBE_CHARACTERS);
  parseCube(content.toString('utf8'));
  return createHash('sha256').update(content).digest('hex');
}
