/**
 * Which files of a card are read. Files are left out only by these rules, and are counted.
 *
 * Sidecars are files that cameras, recorders and copy programs write beside the clips (common practice, no
 * source).
 */
const SYSTEM_NAMES = new Set(
  ['Thumbs.db', 'desktop.ini', '$RECYCLE.BIN', 'System Volume Information', 'lost+found', '@eaDir'].map(
    (name) => name.toLowerCase(),
  ),
);
const SIDECARS = new Set([
  ...[
    'xml',
    'xmp',
    'mhl',
    'txt',
    'csv',
    'tsv',
    'json',
    'yaml',
    'yml',
    'log',
    'md',
    'pdf',
    'html',
    'htm',
    'rtf',
    'doc',
  ],
  ...['md5', 'sha1', 'sha256', 'xxh', 'xxhash', 'crc', 'sfv', 'par2'],
  ...['cube', '3dl', 'cdl', 'cc', 'ccc', 'csp', 'look', 'icc', 'icm', 'edl', 'ale', 'aaf', 'fcpxml', 'otio'],
  ...[
    'srt',
    'vtt',
    'scc',
    'stl',
    'ttml',
    'itt',
    'thm',
    'smi',
    'ppn',
    'cpf',
    'bim',
    'idx',
    'ind',
    'sav',
    'db',
    'zip',
  ],
]);
const PICTURES = new Set(['jpg', 'jpeg', 'bmp', 'png', 'gif', 'webp']);
const THUMBNAIL_FOLDER = /^(thmbnl|thumbs?|thumbnails?|icons?|previews?)$/i;

export type Skipped = 'hidden or system file' | 'sidecar' | 'thumbnail' | 'batch folder of goodgate';

export interface Entry {
  readonly name: string;
  readonly folderName: string;
  /** Names in the same folder, lower case and without extension, of all files that are no still pictures. */
  readonly stemsBeside: ReadonlySet<string>;
}

/** Why a file is left out; null when it is read. */
export function skipFile({ name, folderName, stemsBeside }: Entry): Skipped | null {
  if (isHiddenOrSystem(name)) return 'hidden or system file';
  const extension = extensionOf(name);
  if (SIDECARS.has(extension)) return 'sidecar';
  if (PICTURES.has(extension) && (THUMBNAIL_FOLDER.test(folderName) || stemsBeside.has(stemOf(name)))) {
    return 'thumbnail';
  }
  return null;
}

export function isHiddenOrSystem(name: string): boolean {
  return name.startsWith('.') || SYSTEM_NAMES.has(name.toLowerCase());
}

/** Names, without extension, of files that a still picture may be the thumbnail of. */
export function stemsOf(names: readonly string[]): Set<string> {
  return new Set(names.filter((name) => !PICTURES.has(extensionOf(name))).map(stemOf));
}

function extensionOf(name: string): string {
  const at = name.lastIndexOf('.');
  return at <= 0 ? '' : name.slice(at + 1).toLowerCase();
}

function stemOf(name: string): string {
  const at = name.lastIndexOf('.');
  return (at <= 0 ? name : name.slice(0, at)).toLowerCase();
}
