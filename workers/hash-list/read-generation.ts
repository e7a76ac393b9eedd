import { pathBelow } from '../../jobs/documents/path-below.js';
import { GoodgateError } from '../../jobs/errors.js';
import { HASH_FORMATS, isHashFormat, plainHash } from '../../jobs/hash-list/hash-format.js';
import type {
  Generation,
  HashAction,
  HashRecord,
  ListedDirectory,
  ListedFile,
  ListedReference,
} from './generation.js';
import { readXml, type XmlElement } from './read-xml.js';

export const LIST_NAMESPACE = 'urn:ASC:MHL:v2.0';
const VERSION = '2.0';
const ACTIONS: readonly string[] = ['original', 'verified', 'failed'] satisfies HashAction[];
/** Patterns become expressions that every file name is held against. */
const MOST_PATTERNS = 10_000;
const LONGEST_PATTERN = 1_024;

/**
 * Reads one hash list (ASC MHL v2.0), and the C4 of its bytes.
 *
 * Paths lead below the folder the list covers, or the list is refused: nothing it names is read elsewhere.
 *
 * @throws GoodgateError `missing-file`, `bad-document` with line.
 */
export async function readGeneration(
  path: string,
): Promise<{ readonly generation: Generation; readonly c4: string }> {
  const files = new Map<string, ListedFile>();
  const directories = new Map<string, ListedDirectory>();
  const { root, c4 } = await readXml(path, {
    namespace: LIST_NAMESPACE,
    root: 'hashlist',
    take: (element, [, section, name]) => {
      if (section !== 'hashes' || name !== element.name) return false;
      if (element.name === 'hash') addOnce(files, fileOf(element));
      else if (element.name === 'directoryhash') addOnce(directories, directoryOf(element, pathOf(element)));
      return true;
    },
  });
  try {
    return { generation: generationOf(root, [...files.values()], [...directories.values()]), c4 };
  } catch (error) {
    if (error instanceof GoodgateError) throw error;
    throw new GoodgateError('bad-document', {
      what: `the hash list cannot be read: ${error instanceof Error ? error.message : String(error)}`,
      where: path,
      next: 'copy the list once more from where the card was copied',
      cause: error,
    });
  }
}

function generationOf(
  root: XmlElement,
  files: readonly ListedFile[],
  directories: readonly ListedDirectory[],
): Generation {
  if (root.attributes.version !== VERSION) {
    throw new Error(`it is of version ${root.attributes.version ?? 'none'}; ${VERSION} is read`);
  }
  const creator = required(root, 'creatorinfo');
  const process = required(root, 'processinfo');
  const tool = child(creator, 'tool');
  const rootHash = child(process, 'roothash');
  const references = child(root, 'references')?.children.filter(({ name }) => name === 'hashlistreference');
  return {
    created: childText(creator, 'creationdate'),
    hostname: childText(creator, 'hostname'),
    tool: tool?.text.trim() ?? '',
    toolVersion: tool?.attributes.version ?? '',
    ignore: ignorePatterns(process),
    files,
    directories: [...(rootHash === undefined ? [] : [directoryOf(rootHash, '')]), ...directories],
    references: (references ?? []).map(referenceOf),
  };
}

function ignorePatterns(process: XmlElement): string[] {
  const patterns = (child(process, 'ignore')?.children ?? [])
    .filter(({ name }) => name === 'pattern')
    .map(({ text }) => text);
  if (patterns.length > MOST_PATTERNS || patterns.some((pattern) => pattern.length > LONGEST_PATTERN)) {
    throw new Error(
      `it has more than ${MOST_PATTERNS} ignore patterns, or one longer than ${LONGEST_PATTERN} characters`,
    );
  }
  return patterns;
}

function fileOf(element: XmlElement): ListedFile {
  const path = required(element, 'path');
  const previous = child(element, 'previousPath');
  const size = Number(path.attributes.size);
  return {
    path: pathOf(element),
    bytes: path.attributes.size !== undefined && Number.isSafeInteger(size) && size >= 0 ? size : null,
    modified: path.attributes.lastmodificationdate ?? null,
    hashes: element.children.flatMap(recordOf),
    previousPath: previous === undefined ? null : requirePathBelow(previous.text),
  };
}

/** A hash without an action counts as the first of its file, as in lists written before it was demanded. */
function recordOf({ name, text, attributes }: XmlElement): HashRecord[] {
  if (!isHashFormat(name)) return [];
  const { action = 'original' } = attributes;
  if (!isAction(action)) throw new Error(`action="${action}" is none of ${ACTIONS.join(', ')}`);
  const value = plainHash(name, text);
  if (value === null) throw new Error(`"${text.slice(0, 100)}" is no ${name}`);
  return [{ format: name, value, action }];
}

function isAction(word: string): word is HashAction {
  return ACTIONS.includes(word);
}

function directoryOf(element: XmlElement, path: string): ListedDirectory {
  const [content, structure] = [child(element, 'content'), child(element, 'structure')].map(
    (holder) => new Map((holder?.children ?? []).flatMap(recordOf).map((hash) => [hash.format, hash.value])),
  );
  return {
    path,
    modified: child(element, 'path')?.attributes.lastmodificationdate ?? null,
    hashes: HASH_FORMATS.flatMap((format) => {
      const [ofContent, ofStructure] = [content?.get(format), structure?.get(format)];
      if (ofContent === undefined && ofStructure === undefined) return [];
      if (ofContent !== undefined && ofStructure !== undefined) {
        return [{ format, content: ofContent, structure: ofStructure }];
      }
      throw new Error(`directory "${path}" has only one of content and structure in ${format}`);
    }),
  };
}

function referenceOf(element: XmlElement): ListedReference {
  const c4 = plainHash('c4', childText(element, 'c4'));
  if (c4 === null) throw new Error('a reference to another list has no C4');
  return { path: requirePathBelow(childText(element, 'path')), c4 };
}

function pathOf(element: XmlElement): string {
  return requirePathBelow(required(element, 'path').text);
}

/** Clause 6.4.8: relative, `/` between its parts, no `..`. White space belongs to the name. */
function requirePathBelow(path: string): string {
  if (pathBelow.safeParse(path).success) return path;
  throw new Error(
    `the path ${JSON.stringify(path.slice(0, 200))} does not lead below the folder of the list`,
  );
}

function addOnce<T extends { readonly path: string }>(into: Map<string, T>, entry: T): void {
  if (into.has(entry.path)) throw new Error(`it lists ${JSON.stringify(entry.path)} twice`);
  into.set(entry.path, entry);
}

function child(element: XmlElement, name: string): XmlElement | undefined {
  return element.children.find((each) => each.name === name);
}

function required(element: XmlElement, name: string): XmlElement {
  const found = child(element, name);
  if (found === undefined) throw new Error(`<${element.name}> has no <${name}>`);
  return found;
}

function childText(element: XmlElement, name: string): string {
  return required(element, name).text.trim();
}
