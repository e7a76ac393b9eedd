import { basename, extname } from 'node:path';
import { CsvError, parse } from 'csv-parse/sync';
import { listProblems, type ReadDocument } from '../documents/load-document.js';
import { GoodgateError } from '../errors.js';
import { lookFile, type Manifest, type ManifestClip } from './manifest.js';
import { slateOf } from './slate.js';

/**
 * Columns of a CSV list; all but `file` are optional. `targets` are names separated by blanks, `parts` and
 * `soundFrom` files separated by `|`; `root` and `title` are those of the whole list, and stand in its
 * first row.
 */
const COLUMNS = [
  'file',
  'parts',
  'skip',
  'reel',
  'scene',
  'take',
  'startTimecode',
  'transfer',
  'primaries',
  'matrix',
  'range',
  'scan',
  'sampleAspect',
  'frameRate',
  'look',
  'lookInput',
  'lookScale',
  'sound',
  'soundFrom',
  'exposure',
  'targets',
  'root',
  'title',
] as const;
type Column = (typeof COLUMNS)[number];
const COLOUR_COLUMNS: readonly string[] = ['transfer', 'primaries', 'matrix', 'range'];
const OF_LIST: readonly string[] = ['root', 'title'];
const LOOK_COLUMNS: readonly string[] = ['look', 'lookInput', 'lookScale'];
/** A clip that has no look, or its own sound, although others have. */
const NONE = 'none';

interface CsvRow {
  readonly cells: readonly string[];
  readonly line: number;
}

/**
 * A list with a header line, or with one file name per line. Separators: comma, semicolon or tab.
 */
export function readCsv(text: string, file: string): ReadDocument {
  const plain = text.replace(/^\uFEFF/, '');
  const delimiter = delimiterOf(plain);
  const rows = csvRows(plain, delimiter, file);
  const [first, ...rest] = rows;
  const header = first?.cells.map(headingOf) ?? [];
  const headed = header.includes('file');
  const clips = headed
    ? rest.map(({ cells }) => clipOf(header, cells))
    : rows.map(({ cells }) => ({ file: cells.join(delimiter) }));
  const lineOf = (index: unknown): number => {
    const row = typeof index === 'number' ? (headed ? rest : rows)[index] : undefined;
    return row?.line ?? 1;
  };
  return {
    file,
    data: { schema: 'goodgate/manifest@1', ...listOf(file, header, rows[1]?.cells ?? []), clips },
    place: (path) => ({ line: path[0] === 'clips' ? lineOf(path[1]) : 1, column: null }),
  };
}

/** The name of a column, upper and lower case alike; an unknown heading is returned as it is. */
function headingOf(cell: string): string {
  const heading = cell.trim();
  return COLUMNS.find((name) => name.toLowerCase() === heading.toLowerCase()) ?? heading;
}

function delimiterOf(text: string): string {
  const header = text.slice(0, text.search(/[\r\n]|$/));
  return (
    [',', ';', '\t'].find((d) =>
      header.split(d).some((cell) => headingOf(cell.replaceAll('"', '')) === 'file'),
    ) ?? ','
  );
}

function csvRows(text: string, delimiter: string, file: string): CsvRow[] {
  const rows: CsvRow[] = [];
  try {
    parse(text, {
      delimiter,
      relax_column_count: true,
      skip_empty_lines: true,
      on_record: (record: readonly string[], { lines }) => {
        rows.push({ cells: record, line: lines });
        return null;
      },
    });
  } catch (cause) {
    if (!(cause instanceof CsvError)) throw cause;
    const line = typeof cause.lines === 'number' ? cause.lines : 1;
    throw listProblems(file, [{ place: { line, column: null }, text: cause.message }]);
  }
  return rows;
}

/** What the first row says of the whole list. */
function listOf(file: string, header: readonly string[], cells: readonly string[]) {
  const value = (column: Column): string => plainCell(cells[header.indexOf(column)] ?? '').trim();
  return { title: value('title') || basename(file, extname(file)), root: value('root') || '.' };
}

/** An apostrophe before a sign keeps a spreadsheet from taking the cell for a formula. */
const GUARDED = /^'(?=\s*[=+\-@'])/;
function plainCell(cell: string): string {
  return cell.replace(GUARDED, '');
}

/** Cells by their headings. Unknown headings become keys that the schema refuses by name. */
function clipOf(header: readonly string[], cells: readonly string[]): Record<string, unknown> {
  const clip: Record<string, unknown> = {};
  const colour: Record<string, unknown> = {};
  const look = new Map<string, string>();
  cells.forEach((cell, index) => {
    const column = header[index] ?? `column ${index + 1}`;
    // File names may begin or end with a blank; in other cells blanks have no meaning.
    const value = column === 'file' ? plainCell(cell) : plainCell(cell).trim();
    if (value === '' || OF_LIST.includes(column)) return;
    if (COLOUR_COLUMNS.includes(column)) colour[column] = value;
    else if (LOOK_COLUMNS.includes(column)) look.set(column, value);
    else clip[column] = cellValue(column, value);
  });
  return {
    ...clip,
    ...(Object.keys(colour).length === 0 ? {} : { colour }),
    ...(look.size === 0 ? {} : { look: lookOf(look) }),
  };
}

/** What is no value of its column is kept as it is: the schema refuses it by its place. */
function cellValue(column: string, value: string): unknown {
  if (column === 'exposure') return Number.isNaN(Number(value)) ? value : Number(value);
  if (column === 'sound') return value === 'mix' ? value : value.split(/\s+/).map(Number);
  if (column === 'soundFrom') return value === NONE ? null : oneOrList(value);
  if (column === 'targets') return value.split(/\s+/);
  if (column === 'parts') return value.split('|').map((part) => part.trim());
  if (column === 'skip') return value === 'yes' ? true : value === 'no' ? false : value;
  return value;
}

/** One file as it is, several separated as parts are. */
function oneOrList(value: string): string | string[] {
  const files = value.split('|').map((file) => file.trim());
  return files.length === 1 ? value : files;
}

function lookOf(cells: ReadonlyMap<string, string>): unknown {
  const file = cells.get('look');
  const [input, scale] = [cells.get('lookInput'), cells.get('lookScale')];
  if (input === undefined && scale === undefined) return file === NONE ? null : file;
  const [from, to] = scale?.split('/') ?? [];
  return {
    ...(file === undefined ? {} : { file }),
    ...(input === undefined ? {} : { input }),
    ...(scale === undefined ? {} : { scale: to === undefined ? from : { input: from, output: to } }),
  };
}

/**
 * A manifest as a list for a spreadsheet: a row for each clip with all that is set for it, by itself, by
 * rules or by `defaults`. Facts are left out: they are read from the clips. `readCsv` gives it back.
 *
 * @param manifest with its rules applied and its defaults filled in
 * @throws GoodgateError `bad-option` where something has no place in a list
 */
export function formatCsv({ clips, root, title }: Pick<Manifest, 'clips' | 'root' | 'title'>): string {
  const rows = clips.map((clip, index) => cellsOf(clip, index === 0 ? { root, title } : {}));
  const used = COLUMNS.filter((column) => column === 'file' || rows.some((row) => row[column] !== undefined));
  const lines = [used, ...rows.map((row) => used.map((column) => cellText(row[column] ?? '')))];
  return `\uFEFF${lines.map((cells) => `${cells.join(',')}\r\n`).join('')}`;
}

type Cells = { readonly [Name in Column]?: string | undefined };

function cellsOf(clip: ManifestClip, list: { readonly root?: string; readonly title?: string }): Cells {
  const { file, parts, skip, look, colour, sound, exposure, targets } = clip;
  const slate = slateOf(clip);
  const written = typeof look === 'object' ? look : null;
  const scale = written?.scale;
  return {
    ...list,
    ...{
      file,
      parts: separated(clip, parts, '|', /\|/),
      skip: skip === undefined ? undefined : skip ? 'yes' : 'no',
    },
    ...{ reel: clip.reel, startTimecode: clip.startTimecode },
    // What the files say of the take is what a spreadsheet is opened for.
    ...{ scene: slate?.scene ?? undefined, take: slate?.take ?? undefined },
    ...{ scan: clip.scan, sampleAspect: clip.sampleAspect, frameRate: clip.frameRate },
    ...{ transfer: colour?.transfer, primaries: colour?.primaries },
    ...{ matrix: colour?.matrix, range: colour?.range },
    look: look === undefined ? undefined : look === null ? NONE : lookFile(look),
    lookInput: written?.input,
    lookScale: typeof scale === 'object' ? `${scale.input ?? ''}/${scale.output ?? ''}` : scale,
    sound: sound === undefined ? undefined : sound === 'mix' ? sound : sound.join(' '),
    soundFrom: clip.soundFrom === null ? NONE : separated(clip, soundFiles(clip), '|', /\|/),
    exposure: exposure === undefined ? undefined : String(exposure),
    targets: separated(clip, targets, ' ', /\s/),
  };
}

function soundFiles({ soundFrom }: ManifestClip): string[] | undefined {
  return soundFrom == null ? undefined : [soundFrom].flat();
}

function separated(
  { file }: ManifestClip,
  values: readonly string[] | undefined,
  separator: string,
  taken: RegExp,
): string | undefined {
  const odd = values?.find((value) => taken.test(value));
  if (odd === undefined) return values?.join(separator);
  throw new GoodgateError('bad-option', {
    what: `"${odd}" of ${file} cannot stand in a list, where ${separator === ' ' ? 'a blank' : `"${separator}"`} separates`,
    next: 'write the manifest as .yaml',
  });
}

function cellText(text: string): string {
  const guarded = /^\s*[=+\-@']/.test(text) ? `'${text}` : text;
  return /[",\r\n'\s]/.test(guarded) ? `"${guarded.replaceAll('"', '""')}"` : guarded;
}
