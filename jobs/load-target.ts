import { readdir, stat } from 'node:fs/promises';
import { basename, dirname, extname, isAbsolute, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { nearestWord } from './document-problems.js';
import { GoodgateError } from './errors.js';
import { checkDocument, type ReadDocument, readText, readYaml } from './load-document.js';
import { mergeTargets } from './merge-target.js';
import { type Target, target } from './target.js';

const BUILT_IN_FOLDER = fileURLToPath(new URL('./targets/', import.meta.url));
/** A target that extends a target that extends ... this often is a mistake. */
const MAX_CHAIN = 16;

export interface TargetPlace {
  /** Folder that relative paths start from. */
  readonly baseFolder: string;
}

/**
 * A target by the name of a built-in or by the path of a file, with everything it extends merged in. Errors:
 * unknown-target (with the nearest name and the list), bad-document.
 */
export async function loadTarget(nameOrPath: string, { baseFolder }: TargetPlace): Promise<Target> {
  const read = await readChain(await findFile(nameOrPath, baseFolder), []);
  return checkDocument(read, target);
}

/** Every built-in target, by name. */
export async function builtInTargets(): Promise<Target[]> {
  const names = await builtInNames();
  return Promise.all(names.map((name) => loadTarget(name, { baseFolder: BUILT_IN_FOLDER })));
}

async function builtInNames(): Promise<string[]> {
  const files = await readdir(BUILT_IN_FOLDER);
  return files
    .filter((file) => extname(file) === '.yaml')
    .map((file) => basename(file, '.yaml'))
    .sort();
}

async function findFile(nameOrPath: string, baseFolder: string): Promise<string> {
  const names = await builtInNames();
  if (names.includes(nameOrPath)) return join(BUILT_IN_FOLDER, `${nameOrPath}.yaml`);
  const path = isAbsolute(nameOrPath) ? nameOrPath : resolve(baseFolder, nameOrPath);
  if (await isFile(path)) return path;
  const nearest = nearestWord(nameOrPath, names);
  throw new GoodgateError('unknown-target', {
    what: `there is no target ${JSON.stringify(nameOrPath)}, neither built in nor as a file${
      nearest === null ? '' : `; the nearest built-in is ${nearest}`
    }`,
    next: `Name one of ${names.join(', ')}, or the path of a target file.`,
  });
}

async function isFile(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isFile();
  } catch {
    return false;
  }
}

/** A target document merged with its bases. Places are those of the document itself: a base was right on its own. */
async function readChain(file: string, below: readonly string[]): Promise<ReadDocument> {
  const read = readYaml(await readText(file), file);
  const { data } = read;
  if (!isMap(data) || data.extends === undefined) return read;
  const { line, column } = read.place(['extends'], null);
  const where = `${file}:${line}:${column}`;
  const chain = [...below, file];
  const base = data.extends;
  if (typeof base !== 'string' || base === '') {
    throw new GoodgateError('bad-document', {
      what: 'extends: needed is the name or path of one target',
      where,
      next: 'Name a built-in target, or a file beside this one.',
    });
  }
  const baseFile = await findFile(base, dirname(file)).catch((cause: unknown) => {
    if (!(cause instanceof GoodgateError)) throw cause;
    throw new GoodgateError('unknown-target', {
      what: `extends: ${cause.what}`,
      where,
      next: cause.next,
      cause,
    });
  });
  if (chain.includes(baseFile) || chain.length >= MAX_CHAIN) {
    throw new GoodgateError('bad-document', {
      what: `extends: the targets extend one another in a circle: ${[...chain, baseFile].map((f) => basename(f)).join(' -> ')}`,
      where,
      next: 'Take one extends out of the circle.',
    });
  }
  const baseRead = await readChain(baseFile, chain);
  checkDocument(baseRead, target);
  return { ...read, data: isMap(baseRead.data) ? mergeTargets(baseRead.data, data) : data };
}

function isMap(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
