import { createHash } from 'node:crypto';
import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { readPlainFile } from '../../jobs/documents/read-plain-file.js';
import { GoodgateError } from '../../jobs/errors.js';
import type { RenderingRecipe } from '../../jobs/plan/plan.js';
import { bakeRendering } from '../../signal/lut/bake.js';
import type { Cube, LutTable } from '../../signal/lut/cube.js';
import { CubeError, formatCube, MAX_CUBE_CHARACTERS, parseCube } from '../../signal/lut/cube-format.js';
import type { LutError } from '../../signal/lut/lut-error.js';
import { makeRendering, RenderingError } from '../../signal/rendering/make-rendering.js';
import { writeWhole } from '../batch/write-whole.js';

/** A rendering as files, for the filter chain. */
export interface BakedFiles {
  /** In order. `shape` is the PQ curve, which a filter computes. */
  readonly steps: readonly (
    | { readonly kind: 'lut1d' | 'lut3d'; readonly path: string }
    | { readonly kind: 'shape' }
  )[];
  readonly description: string;
  readonly source: string;
  readonly notes: readonly string[];
  /** Error of the tables relative to the formula, in 10-bit codes. */
  readonly error: LutError;
}

/**
 * Bakes a recipe into `.cube` files in a folder, which is created where missing. Files are named by a hash of
 * their content, so several jobs can bake the same rendering into one folder. Throws GoodgateError
 * `bad-document` for a look that cannot be read, `bad-job` for a rendering that is not possible.
 */
export async function bakeToFiles(recipe: RenderingRecipe, folder: string): Promise<BakedFiles> {
  const look = recipe.look === null ? null : await readCube(recipe.look.file);
  const { rendering, steps, error } = bakeRendering(makeOrRefuse(recipe, look));
  const files: BakedFiles['steps'][number][] = [];
  for (const step of steps) {
    files.push(step.kind === 'shape' ? step : { kind: step.kind, path: await writeTable(folder, step) });
  }
  const { description, source, notes } = rendering;
  return { steps: files, description, source, notes, error };
}

/** Reads a look. Throws GoodgateError: `missing-file`, or `bad-document` with the line and the reason. */
export async function readCube(path: string): Promise<Cube> {
  const text = (await readPlainFile(path, MAX_CUBE_CHARACTERS)).toString('utf8');
  try {
    return parseCube(text);
  } catch (error) {
    if (!(error instanceof CubeError)) throw error;
    throw new GoodgateError('bad-document', {
      what: error.reason,
      where: error.line === null ? path : `${path}, line ${error.line}`,
      next: 'export the look again as a plain .cube',
      cause: error,
    });
  }
}

function makeOrRefuse({ from, to, exposure, look: use }: RenderingRecipe, look: Cube | null) {
  try {
    return makeRendering({ from, to, exposure, look, ...(use === null ? {} : { lookUse: use }) });
  } catch (error) {
    if (!(error instanceof RenderingError)) throw error;
    throw new GoodgateError('bad-job', {
      what: error.message,
      next: 'choose another colour for the target',
      cause: error,
    });
  }
}

async function writeTable(
  folder: string,
  { kind, what, table }: { kind: 'lut1d' | 'lut3d'; what: string; table: LutTable },
): Promise<string> {
  const cube: Cube = {
    title: what,
    comments: [],
    curve: kind === 'lut1d' ? table : null,
    cube: kind === 'lut3d' ? table : null,
  };
  const text = formatCube(cube);
  const path = join(folder, `${createHash('sha256').update(text).digest('hex').slice(0, 24)}.cube`);
  if (!(await exists(path))) await writeWhole(path, text);
  return path;
}

async function exists(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}
