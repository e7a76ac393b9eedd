import { dirname, relative, sep } from 'node:path';
import { type Document, isMap, isScalar, isSeq, parseDocument, type YAMLMap, type YAMLSeq } from 'yaml';
import { plainPath } from '../documents/path-below.js';
import { GoodgateError } from '../errors.js';
import type { Manifest, ManifestClip } from './manifest.js';

export interface Addition {
  /** The manifest as its author left it; it was loaded and is valid. */
  readonly text: string;
  readonly isJson: boolean;
  /** Absolute folder its clips' paths start from. */
  readonly root: string;
  /** What a scan found just now, its paths from a root of its own. */
  readonly scanned: Manifest;
  /** Absolute folders that were scanned. */
  readonly folders: readonly string[];
}

export interface Added {
  readonly text: string;
  readonly added: readonly string[];
  /** Their size or time is another since: they have new facts. */
  readonly changed: readonly string[];
  /** In the manifest, and not found any more. They stay in it. */
  readonly gone: readonly string[];
  /** The folder all paths start from now, where it had to be another; null: as before. */
  readonly newRoot: string | null;
}

/**
 * Brings what a scan found into a manifest that people edited. All that was written by hand stays, comments
 * too: only `facts` of clips that changed, and the lists that `scan` itself writes, are renewed. Where a new
 * folder lies outside the root of the manifest, the root becomes the folder above both, and paths begin with
 * the folder of their card. Pure.
 *
 * @throws GoodgateError `bad-document` where the clips are no plain list
 */
export function addToManifest({ text, isJson, root, scanned, folders }: Addition): Added {
  const document = parseDocument(text, { version: '1.2', uniqueKeys: false });
  const common = commonFolder(root, scanned.root);
  const [before, found] = [prefix(common, root), prefix(common, scanned.root)];
  const clips = clipsOf(document);
  if (before !== '') moveRoot(document, clips, common, before);

  const known = new Map(clips.items.flatMap((item) => (isMap(item) ? [[fileOf(item), item] as const] : [])));
  const added: string[] = [];
  const changed: string[] = [];
  for (const { file, parts, facts } of scanned.clips) {
    const path = found + file;
    const item = known.get(path);
    if (item === undefined) {
      const more = parts === undefined ? {} : { parts: parts.map((part) => found + part) };
      clips.add(document.createNode({ file: path, ...more, ...(facts === undefined ? {} : { facts }) }));
      added.push(path);
    } else if (!isSameState(item, facts)) {
      // A clip that was written by hand has none yet.
      if (item.has('facts')) changed.push(path);
      item.set('facts', document.createNode(facts));
    }
  }
  const present = new Set([...scanned.clips, ...(scanned.leftOut ?? [])].map(({ file }) => found + file));
  const isScanned = (path: string): boolean =>
    folders.some((folder) => {
      const base = prefix(common, folder);
      return path.startsWith(base);
    });
  const gone = [...known.keys()].filter((path) => isScanned(path) && !present.has(path));
  for (const key of ['unreadable', 'leftOut'] as const) {
    const news = (scanned[key] ?? []).map((entry) => ({
      ...entry,
      file: found + entry.file,
      ...('of' in entry && entry.of !== undefined ? { of: found + entry.of } : {}),
    }));
    renewList(
      document,
      key,
      isScanned,
      news.filter(({ file }) => !known.has(file)),
    );
  }
  return {
    text: isJson ? `${JSON.stringify(document.toJS(), null, 2)}\n` : document.toString({ lineWidth: 0 }),
    ...{ added, changed, gone, newRoot: before === '' ? null : common },
  };
}

function commonFolder(a: string, b: string): string {
  let common = a;
  while (prefix(common, b).startsWith('../')) common = dirname(common);
  return common;
}

/** Path of a folder from another, with `/` at its end; '' for the same. */
function prefix(from: string, to: string): string {
  const path = relative(from, to).split(sep).join('/');
  return path === '' ? '' : `${path}/`;
}

function clipsOf(document: Document): YAMLSeq {
  const clips = document.get('clips');
  if (isSeq(clips)) return clips;
  throw new GoodgateError('bad-document', {
    what: '`clips` is no list that clips can be added to',
    where: 'clips',
    next: 'write the clips as a list of their own, not as a reference to another part',
  });
}

function fileOf(item: YAMLMap): string {
  const file: unknown = item.get('file');
  return typeof file === 'string' ? plainPath(file) : '';
}

function isSameState(item: YAMLMap, facts: ManifestClip['facts']): boolean {
  if (facts === undefined) return true;
  return (
    item.getIn(['facts', 'bytes']) === facts.bytes && item.getIn(['facts', 'modified']) === facts.modified
  );
}

/** Paths, and patterns that name folders, start from the new root. */
function moveRoot(document: Document, clips: YAMLSeq, root: string, before: string): void {
  document.set('root', root);
  const lists = [clips, document.get('unreadable'), document.get('leftOut')];
  for (const item of lists.flatMap((list) => (isSeq(list) ? list.items : []))) {
    if (!isMap(item)) continue;
    for (const key of ['file', 'of']) {
      const path: unknown = item.get(key);
      if (typeof path === 'string') item.set(key, before + plainPath(path));
    }
    const parts: unknown = item.get('parts');
    for (const [index, part] of (isSeq(parts) ? parts.items : []).entries()) {
      if (isScalar(part) && typeof part.value === 'string') {
        item.setIn(['parts', index], before + plainPath(part.value));
      }
    }
  }
  const rules = document.get('rules');
  for (const rule of isSeq(rules) ? rules.items : []) {
    if (!isMap(rule)) continue;
    const pattern: unknown = rule.getIn(['match', 'file']);
    if (typeof pattern === 'string') rule.setIn(['match', 'file'], movedPattern(pattern, before));
    for (const [index, each] of (isSeq(pattern) ? pattern.items : []).entries()) {
      if (isScalar(each) && typeof each.value === 'string') {
        rule.setIn(['match', 'file', index], movedPattern(each.value, before));
      }
    }
  }
}

/**
 * A pattern with a slash before its end starts at the root (gitignore); another one matches at any depth, and
 * goes on doing so below what was the root, not on the cards that are new.
 */
function movedPattern(pattern: string, before: string): string {
  return /\/./.test(pattern) ? before + pattern.replace(/^\//, '') : `${before}**/${pattern}`;
}

/** Replaces what an earlier scan of the same folders listed. */
function renewList(
  document: Document,
  key: 'unreadable' | 'leftOut',
  isScanned: (path: string) => boolean,
  news: readonly object[],
): void {
  const list = document.get(key);
  const kept = (isSeq(list) ? list.items : []).filter((item) => isMap(item) && !isScanned(fileOf(item)));
  if (kept.length + news.length === 0) document.delete(key);
  else if (isSeq(list)) list.items = [...kept, ...news.map((entry) => document.createNode(entry))];
  else document.set(key, document.createNode(news));
}
