import { type ContainerName, container as containerOf } from '../jobs/containers/containers.js';
import { foldedPath } from '../jobs/documents/folded-path.js';
import { sequenceName } from '../jobs/manifest/sequence-path.js';

/** Most file systems allow 255 bytes per name; temporary names need some of them. */
const LONGEST_STEM_BYTES = 180;

/** Without the extension, and of a picture sequence without its number; folders stay. */
export function stemOf(name: string): string {
  const sequence = sequenceName(name);
  if (sequence !== null) {
    const { folder, prefix, suffix } = sequence;
    const stem = (prefix + suffix.slice(0, suffix.lastIndexOf('.'))).replace(/[._ -]+$/, '');
    return folder + (stem === '' ? 'frames' : stem);
  }
  const dot = name.lastIndexOf('.');
  return dot > name.lastIndexOf('/') + 1 ? name.slice(0, dot) : name;
}

/** Cuts at the boundary of a character. */
function shorten(stem: string): string {
  let cut = stem;
  while (Buffer.byteLength(cut) > LONGEST_STEM_BYTES) cut = Array.from(cut).slice(0, -1).join('');
  return cut;
}

/**
 * Path of an output below the batch folder: `<target>/<folders of the clip>/<name of the
 * clip>.<container>`; of a picture sequence `.../<name of the clip>/<name of the clip>.#.<container>`.
 * Names keep the characters of the original; long ones are shortened.
 */
export class OutputPaths {
  /**
   * In lower case, since the output may be on a file system that ignores case.
   */
  private readonly taken = new Set<string>();

  /**
   * A path that is unique in this plan. Where two clips differ only in their extension, the name keeps it.
   */
  claim(target: string, clip: string, container: ContainerName): string {
    const parts = clip.split('/').filter((part) => part !== '' && part !== '.' && part !== '..');
    const file = parts.pop() ?? 'clip';
    const folder = [target, ...parts].join('/');
    const candidates = [shorten(stemOf(file)), shorten(file)];
    for (let n = 2; ; n += 1) {
      const stem = candidates.shift() ?? `${shorten(file)} (${n - 1})`;
      const name = containerOf(container).isSequence ? `${stem}/${stem}.#` : stem;
      const path = `${folder}/${name}.${container}`;
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
