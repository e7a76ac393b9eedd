import { readdir, stat } from 'node:fs/promises';
import { basename, dirname, extname, isAbsolute, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type DocumentProblem, nearestWord } from '../documents/document-problems.js';
import { isRecord } from '../documents/is-record.js';
import {
  checkDocument,
  type ReadDocument,
  readText,
  readYaml,
  SMALL_DOCUMENT,
} from '../documents/load-document.js';
import { GoodgateError } from '../errors.js';
import { PLACED_NAMES } from '../requirements/requirement.js';
import { mergeTargets } from './merge-target.js';
import { type Target, target } from './target.js';

const BUILT_IN_FOLDER = fileURLToPath(new URL('./built-in/', import.meta.url));
/** Longest chain of targets that extend one another; a longer one is a mistake. */
const MAX_CHAIN = 16;

export interface TargetPlace {
  /** Folder that relative paths start from. */
  readonly baseFolder: string;
  /** Folder of a site's own targets, each found by the name of its file. */
  readonly targetFolder?: string | undefined;
}

/** One document of a chain of targets, as it was written. */
export interface TargetLayer {
  readonly name: string;
  readonly data: unknown;
}

export interface LayeredTarget {
  readonly target: Target;
  /** The document itself first, then the one it extends, and so on. */
  readonly layers: readonly TargetLayer[];
}

/**
 * A target by the name of a built-in one or by the path of a file, merged with all targets it extends.
 * Errors: unknown-target (with the nearest name and the list), bad-document.
 */
export async function loadTarget(nameOrPath: string, place: TargetPlace): Promise<Target> {
  return (await loadLayeredTarget(nameOrPath, place)).target;
}

/** The same, with the documents it was merged from. */
export async function loadLayeredTarget(nameOrPath: string, place: TargetPlace): Promise<LayeredTarget> {
  const { read, layers } = await readChain(await findFile(nameOrPath, place), []);
  return { target: checkTarget(read), layers };
}

function checkTarget(read: ReadDocument): Target {
  return checkDocument(read, target, ({ path: [side, name, ...deeper], key }: DocumentProblem) => {
    const isRegion = key === 'regions' || key === 'joinGaps';
    if (!isRegion || side !== 'require' || deeper.length > 0) return null;
    return `${String(name)} is judged over the whole file and has no ${key}; allowed in: ${PLACED_NAMES.join(', ')}`;
  });
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

async function findFile(nameOrPath: string, { baseFolder, targetFolder }: TargetPlace): Promise<string> {
  const names = await builtInNames();
  if (names.includes(nameOrPath)) return join(BUILT_IN_FOLDER, `${nameOrPath}.yaml`);
  const path = isAbsolute(nameOrPath) ? nameOrPath : resolve(baseFolder, nameOrPath);
  if (await isFile(path)) return path;
  const own = targetFolder === undefined ? [] : await targetsIn(targetFolder);
  const found = own.find(({ name }) => name === nameOrPath);
  if (found !== undefined) return found.file;
  const nearest = nearestWord(nameOrPath, [...names, ...own.map(({ name }) => name)]);
  throw new GoodgateError('unknown-target', {
    what: `there is no target ${JSON.stringify(nameOrPath)}, neither built in nor as a file${
      nearest === null ? '' : `; the nearest is ${nearest}`
    }`,
    next: 'goodgate targets lists the built-in ones; a target of your own is named by the path of its file',
  });
}

/** Absolute path of the file a target is read from; null for a built-in one. Errors: unknown-target. */
export async function targetFile(nameOrPath: string, place: TargetPlace): Promise<string | null> {
  const file = await findFile(nameOrPath, place);
  return dirname(file) === dirname(join(BUILT_IN_FOLDER, '_')) ? null : file;
}

/** Target files of a folder, by the name each is found by. Errors: missing-file. */
export async function targetsIn(folder: string): Promise<{ name: string; file: string }[]> {
  const files = await readdir(folder).catch((cause: unknown) => {
    throw new GoodgateError('missing-file', {
      what: 'there is no such folder of targets',
      where: folder,
      next: 'correct --target-folder, or target-folder in the settings',
      cause,
    });
  });
  return files
    .filter((file) => ['.yaml', '.yml'].includes(extname(file)))
    .sort()
    .map((file) => ({ name: basename(file, extname(file)), file: join(folder, file) }));
}

async function isFile(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isFile();
  } catch {
    return false;
  }
}

/**
 * A target document merged with the targets it extends. Positions in errors are those of this document: the
 * others were validated before.
 */
async function readChain(
  file: string,
  below: readonly string[],
): Promise<{ read: ReadDocument; layers: TargetLayer[] }> {
  const read = readYaml(await readText(file, SMALL_DOCUMENT), file, SMALL_DOCUMENT);
  const { data } = read;
  const own = {
    name: isRecord(data) && typeof data.name === 'string' ? data.name : basename(file, extname(file)),
    data,
  };
  if (!isRecord(data) || data.extends === undefined) return { read, layers: [own] };
  const { line, column } = read.place(['extends'], null);
  const where = `${file}:${line}:${column}`;
  const chain = [...below, file];
  const baseName = data.extends;
  if (typeof baseName !== 'string' || baseName === '') {
    throw new GoodgateError('bad-document', {
      what: 'extends: must be the name or path of one target',
      where,
      next: 'Name a built-in target, or a file beside this one.',
    });
  }
  const baseFile = await findFile(baseName, { baseFolder: dirname(file) }).catch((cause: unknown) => {
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
      next: 'Remove one of these extends.',
    });
  }
  const inherited = await readChain(baseFile, chain);
  checkTarget(inherited.read);
  const base = inherited.read.data;
  return {
    read: { ...read, data: isRecord(base) ? mergeTargets(base, data) : data },
    layers: [own, ...inherited.layers],
  };
}
