import { basename, dirname, extname, resolve } from 'node:path';
import { CsvError, parse } from 'csv-parse/sync';
import { stringify } from 'yaml';
import {
  checkDocument,
  LARGE_DOCUMENT,
  listProblems,
  type ReadDocument,
  readYaml,
  SMALL_DOCUMENT,
  textOf,
} from '../documents/load-document.js';
import { plainPath } from '../documents/path-below.js';
import { MOST_ENTRIES, piecesOf } from '../documents/pieces.js';
import { readInPieces, requireLength } from '../documents/read-in-pieces.js';
import { readPlainFile } from '../documents/read-plain-file.js';
import { type Manifest, manifest, manifestClip } from './manifest.js';

/** Columns of a CSV list; all but `file` are optional. `targets` lists names separated by blanks. */
const COLUMNS = [
  'file',
  'reel',
  'startTimecode',
  'transfer',
  'primaries',
  'matrix',
  'range',
  'scan',
  'sampleAspect',
  'frameRate',
  'look',
  'sound',
  'exposure',
  'targets',
] as const;
const COLOUR_COLUMNS: readonly string[] = ['transfer', 'primaries', 'matrix', 'range'];

export interface LoadedManifest {
  readonly manifest: Manifest;
  /** Absolute folder of the manifest; its relative paths start here. */
  readonly folder: string;
}

/** For two hundred thousand clips with their facts; only what can be read in pieces may be so long. */
const MOST_BYTES = 512 * 1024 * 1024;

/**
 * A manifest from YAML, JSON or a CSV list, by the extension of the file. Errors: missing-file, bad-document.
 */
export async function loadManifest(path: string): Promise<LoadedManifest> {
  const file = resolve(path);
  const isCsv = extname(file).toLowerCase() === '.csv';
  const bytes = await readPlainFile(file, isCsv ? LARGE_DOCUMENT.bytes : MOST_BYTES);
  const checked = isCsv ? checkDocument(readCsv(textOf(bytes, path), path), manifest) : read(bytes, path);
  for (const clip of checked.clips) clip.file = plainPath(clip.file);
  return { manifest: checked, folder: dirname(file) };
}

function read(bytes: Buffer, file: string): Manifest {
  const pieces = bytes.length > SMALL_DOCUMENT.bytes ? piecesOf(bytes, 'clips') : null;
  if (pieces !== null) {
    const about = { list: 'clips', document: manifest, entry: manifestClip };
    const { document, entries } = readInPieces(bytes, file, pieces, about);
    return { ...document, clips: entries };
  }
  requireLength(bytes.length, LARGE_DOCUMENT, file, `and is no plain list of at most ${MOST_ENTRIES} clips`);
  return checkDocument(readYaml(textOf(bytes, file), file, LARGE_DOCUMENT), manifest);
}

/** The manifest as YAML, for a person to edit. */
export function formatManifest(document: Manifest): string {
  return `${HEAD}\n${stringify(document, { lineWidth: 0 })}`;
}

const HEAD = `# A manifest: the clips, what is known about each, and what to make of them.
# Settings under "defaults", or under one clip (which overrides them):
#   colour:     { transfer: S-Log3, primaries: S-Gamut3.Cine }   where the file's own tags are missing or wrong
#   scan:       interlaced-tff                                   where the file declares none, or a wrong one
#   sampleAspect: 2/1                                            a lens squeezed the picture, and the file does not declare it
#   frameRate:  24/1                                             of a picture sequence whose headers declare none
#   look:       { file: looks/show.cube, input: S-Log3/S-Gamut3.Cine }   relative to this file; the colour it is made for
#   sound:      [1, 2]                                           tracks of a stereo target: left and right; or mix
#   exposure:   0.5                                              in stops, applied in scene-linear light
#   targets:    [intermediate-422-10, proxy-h264]                names of built-in targets, or paths
#   skip:       true                                             nothing is made of the clip
# Settings for some clips, by folder, pattern or fact; of several that match each key is that of the last one:
#   rules: [{ match: { file: "B002/**", codec: h264 }, set: { look: null, targets: [proxy-h264] } }]
# "facts" are what each file declares. Leave them: they save reading every clip again.
`;

interface CsvRow {
  readonly cells: readonly string[];
  readonly line: number;
}

/**
 * A list with a header line, or with one file name per line. Separators: comma, semicolon or tab.
 */
function readCsv(text: string, file: string): ReadDocument {
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
    data: { schema: 'goodgate/manifest@1', title: basename(file, extname(file)), root: '.', clips },
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

/** Cells by their headings. Unknown headings become keys that the schema refuses by name. */
function clipOf(header: readonly string[], cells: readonly string[]): Record<string, unknown> {
  const clip: Record<string, unknown> = {};
  const colour: Record<string, unknown> = {};
  cells.forEach((cell, index) => {
    const column = header[index] ?? `column ${index + 1}`;
    // File names may begin or end with a blank; in other cells blanks have no meaning.
    const value = column === 'file' ? cell : cell.trim();
    if (value === '') return;
    if (COLOUR_COLUMNS.includes(column)) colour[column] = value;
    else if (column === 'exposure') clip[column] = Number.isNaN(Number(value)) ? value : Number(value);
    else if (column === 'sound') clip[column] = value === 'mix' ? value : value.split(/\s+/).map(Number);
    else if (column === 'targets') clip[column] = value.split(/\s+/);
    else clip[column] = value;
  });
  return Object.keys(colour).length === 0 ? clip : { ...clip, colour };
}
