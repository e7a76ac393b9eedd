import type { ContainerName } from '../jobs/containers/containers.js';
import { foldedPath } from '../jobs/documents/folded-path.js';

/** Most file systems allow 255 bytes a name; temporary names need some of them. */
const LONGEST_STEM_BYTES = 180;

/** Without the extension; folders stay. */
function stemOf(name: string): string {
  const dot = name.lastIndexOf('.');
  return dot > name.lastIndexOf('/') + 1 ? name.slice(0, dot) : name;
}

/** Cuts at a character boundary, never inside one. */
function shorten(stem: string): string {
  let cut = stem;
  while (Buffer.byteLength(cut) > LONGEST_STEM_BYTES) cut = Array.from(cut).slice(0, -1).join('');
  return cut;
}

/**
 * Where an output goes below the batch folder: `<target>/<the clip's own folders>/<its name>.<container>`.
 * Names keep every character of the original; only what a path cannot carry on common file systems is
 * replaced.
 */
export class OutputPaths {
  /**
   * Case-folded, since a card may be read on a file system that keeps case and written to one that does not.
   */
  private readonly taken = new Set<string>();

  /**
   * A path nobody else in this plan has. Two clips that differ in extension only keep the extension in the
   * name.
   */
  claim(target: string, clip: string, container: ContainerName): string {
    const parts = clip.split('/').filter((part) => part !== '' && part !== '.' && part !== '..');
    const file = parts.pop() ?? 'clip';
    const folder = [target, ...parts].join('/');
    const candidates = [shorten(stemOf(file)), shorten(file)];
    for (let n = 2; ; n += 1) {
      const stem = candidates.shift() ?? `${shorten(file)} (${n - 1})`;
      const path = `${folder}/${stem}.${container}`;
      const folded = foldedPath(path);
      if (this.taken.has(folded)) continue;
      this.taken.add(folded);
      return path;
    }
  }
}

/**
 * Names for the clips of one plan, by which their documents are called: no two that a file system takes for
 * one.
 */
export class ClipNames {
  private readonly taken = new Set<string>();

  /** The clip's own name, or that with a number before its extension. */
  claim(file: string): string {
    for (let n = 1; ; n += 1) {
      const stem = stemOf(file);
      const name = n === 1 ? file : `${stem} (${n})${file.slice(stem.length)}`;
      const folded = foldedPath(name);
      if (this.taken.has(folded)) continue;
      this.taken.add(folded);
      return name;
    }
  }
}
