import type { Vector3 } from '../matrix3.js';
import { type Cube, type LutTable, UNIT_DOMAIN } from './cube.js';

/**
 * The `.cube` format (Cube LUT Specification 1.0, 2013; from memory): keywords, then rows of three numbers,
 * red fastest. Also read, because grading systems write them: `LUT_1D_INPUT_RANGE` and `LUT_3D_INPUT_RANGE`
 * (one pair for all channels), and a 1D table before a 3D one in one file. A look is untrusted input:
 * anything unknown is refused, because an ignored keyword may change what the numbers mean.
 */

/**
 * The specification's limits for 1D; for 3D it allows 256, which is 400 MB of numbers: 129 is the largest in
 * use.
 */
const MAX_SIZE_1D = 65_536;
const MAX_SIZE_3D = 129;
/** Characters: a 129-point cube with long numbers has about 80 million. */
export const MAX_CUBE_CHARACTERS = 128 * 1024 * 1024;
const MAX_LINE = 1000;
const MAX_COMMENTS = 1000;
/** No table of a picture has larger numbers; a file that has is damaged or an attack. */
const MAX_MAGNITUDE = 1e6;
const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/;

/** What is wrong with a `.cube`, and on which line (from 1; null for the file as a whole). */
export class CubeError extends Error {
  readonly line: number | null;
  readonly reason: string;

  constructor(line: number | null, reason: string) {
    super(line === null ? reason : `line ${line}: ${reason}`);
    this.name = 'CubeError';
    this.line = line;
    this.reason = reason;
  }
}

interface Header {
  title: string | null;
  comments: string[];
  sizes: { '1d': number | null; '3d': number | null };
  domains: Map<string, Vector3>;
}

interface Line {
  readonly number: number;
  readonly words: readonly string[];
  readonly text: string;
}

/** Reads a `.cube`. Throws CubeError with the line and the reason. */
export function parseCube(text: string): Cube {
  if (text.length > MAX_CUBE_CHARACTERS) {
    throw new CubeError(null, `the file has ${text.length} characters; ${MAX_CUBE_CHARACTERS} are the most`);
  }
  const header: Header = { title: null, comments: [], sizes: { '1d': null, '3d': null }, domains: new Map() };
  let values: Float64Array | null = null;
  let filled = 0;
  let last = 0;
  for (const line of linesOf(text)) {
    last = line.number;
    if (/^[A-Za-z]/.test(line.text)) {
      if (filled > 0)
        throw new CubeError(line.number, `keyword ${quoted(line.words[0])} after the table began`);
      readKeyword(header, line);
    } else if (line.text.startsWith('#')) {
      if (header.comments.length < MAX_COMMENTS) header.comments.push(line.text.slice(1).trim());
    } else {
      values ??= new Float64Array(rowsExpected(header, line.number) * 3);
      if (filled === values.length) {
        throw new CubeError(line.number, `more rows than the ${values.length / 3} of its size`);
      }
      values.set(readRow(line), filled);
      filled += 3;
    }
  }
  const expected = rowsExpected(header, last);
  if (values === null || filled < values.length) {
    throw new CubeError(last, `the file ends after ${filled / 3} rows; its size needs ${expected}`);
  }
  return tablesOf(header, values, last);
}

function* linesOf(text: string): Generator<Line> {
  let start = text.startsWith('\uFEFF') ? 1 : 0;
  for (let number = 1; start < text.length; number += 1) {
    const feed = text.indexOf('\n', start);
    const end = feed === -1 ? text.length : feed;
    if (end - start > MAX_LINE) throw new CubeError(number, `the line is longer than ${MAX_LINE} characters`);
    const trimmed = text.slice(start, end).trim();
    if (trimmed !== '') yield { number, text: trimmed, words: trimmed.split(/\s+/) };
    start = end + 1;
  }
}

function readKeyword(header: Header, line: Line): void {
  const [keyword = '', ...words] = line.words;
  switch (keyword) {
    case 'TITLE': {
      const title = /^TITLE\s+"([^"]*)"$/.exec(line.text) ?? /^TITLE\s+([^"]+)$/.exec(line.text);
      if (header.title !== null) throw new CubeError(line.number, 'a second TITLE');
      header.title = (title?.[1] ?? '').trim();
      return;
    }
    case 'LUT_1D_SIZE':
      readSize(header, '1d', words, line.number, MAX_SIZE_1D);
      return;
    case 'LUT_3D_SIZE':
      readSize(header, '3d', words, line.number, MAX_SIZE_3D);
      return;
    case 'DOMAIN_MIN':
    case 'DOMAIN_MAX':
      setDomain(header, keyword, numbersOf(words, 3, line.number), line.number);
      return;
    case 'LUT_1D_INPUT_RANGE':
    case 'LUT_3D_INPUT_RANGE': {
      const [min = 0, max = 1] = numbersOf(words, 2, line.number);
      setDomain(header, `${keyword} min`, [min, min, min], line.number);
      setDomain(header, `${keyword} max`, [max, max, max], line.number);
      return;
    }
    default:
      throw new CubeError(
        line.number,
        `unknown keyword ${quoted(keyword)}: it may change what the table means, so the file is not used`,
      );
  }
}

function readSize(
  header: Header,
  kind: '1d' | '3d',
  words: readonly string[],
  line: number,
  max: number,
): void {
  if (header.sizes[kind] !== null) throw new CubeError(line, `a second LUT_${kind.toUpperCase()}_SIZE`);
  const [word = ''] = words;
  const size = Number(word);
  if (words.length !== 1 || !/^\d{1,9}$/.test(word) || size < 2 || size > max) {
    throw new CubeError(line, `size ${quoted(words.join(' '))}: must be a whole number from 2 to ${max}`);
  }
  header.sizes[kind] = size;
}

function setDomain(header: Header, key: string, numbers: readonly number[], line: number): void {
  if (header.domains.has(key)) throw new CubeError(line, `a second ${key}`);
  const [r = 0, g = 0, b = 0] = numbers;
  header.domains.set(key, [r, g, b]);
}

function rowsExpected(header: Header, line: number): number {
  const { '1d': size1d, '3d': size3d } = header.sizes;
  if (size1d === null && size3d === null) {
    throw new CubeError(line, 'there is no LUT_1D_SIZE or LUT_3D_SIZE before the table');
  }
  return (size1d ?? 0) + (size3d ?? 0) ** 3;
}

function readRow(line: Line): readonly number[] {
  return numbersOf(line.words, 3, line.number);
}

function numbersOf(words: readonly string[], count: number, line: number): readonly number[] {
  if (words.length !== count) {
    throw new CubeError(
      line,
      `${words.length} values instead of ${count} numbers: ${quoted(words.join(' '))}`,
    );
  }
  return words.map((word) => {
    const value = NUMBER.test(word) ? Number(word) : Number.NaN;
    if (!(Math.abs(value) <= MAX_MAGNITUDE)) {
      throw new CubeError(
        line,
        `${quoted(word)} is not a number between -${MAX_MAGNITUDE} and ${MAX_MAGNITUDE}`,
      );
    }
    return value;
  });
}

function tablesOf(header: Header, values: Float64Array, line: number): Cube {
  const { '1d': size1d, '3d': size3d } = header.sizes;
  const split = (size1d ?? 0) * 3;
  const table = (size: number, part: Float64Array, kind: '1D' | '3D'): LutTable => ({
    size,
    values: part,
    ...domainOf(header, kind, line),
  });
  return {
    title: header.title,
    comments: header.comments,
    curve: size1d === null ? null : table(size1d, values.slice(0, split), '1D'),
    cube: size3d === null ? null : table(size3d, values.slice(split), '3D'),
  };
}

function domainOf(
  header: Header,
  kind: '1D' | '3D',
  line: number,
): Pick<LutTable, 'domainMin' | 'domainMax'> {
  // DOMAIN_ is the input of the file: with two tables, of the 1D one.
  const isInput = kind === '1D' || header.sizes['1d'] === null;
  const end = (which: 'MIN' | 'MAX'): Vector3 =>
    header.domains.get(`LUT_${kind}_INPUT_RANGE ${which.toLowerCase()}`) ??
    (isInput ? header.domains.get(`DOMAIN_${which}`) : undefined) ??
    (which === 'MIN' ? UNIT_DOMAIN.domainMin : UNIT_DOMAIN.domainMax);
  const domainMin = end('MIN');
  const domainMax = end('MAX');
  if (domainMin.some((min, channel) => !(min < (domainMax[channel] ?? min)))) {
    throw new CubeError(line, `the domain ${domainMin.join(' ')} .. ${domainMax.join(' ')} is empty`);
  }
  return { domainMin, domainMax };
}

/** A `.cube` as text. Nine significant digits keep every 32-bit float exactly. */
export function formatCube(cube: Cube): string {
  const lines: string[] = [];
  if (cube.title !== null) lines.push(`TITLE "${cube.title.replaceAll(/["\r\n]/g, ' ')}"`);
  for (const comment of cube.comments) lines.push(...commentLines(comment));
  const { curve, cube: lattice } = cube;
  if (curve) lines.push(`LUT_1D_SIZE ${curve.size}`);
  if (lattice) lines.push(`LUT_3D_SIZE ${lattice.size}`);
  if (curve && lattice) {
    lines.push(inputRange('1D', curve), inputRange('3D', lattice));
  } else {
    const only = curve ?? lattice;
    if (!only) throw new RangeError('a .cube needs a table');
    if ([...only.domainMin, ...only.domainMax].join() !== '0,0,0,1,1,1') {
      lines.push(`DOMAIN_MIN ${only.domainMin.map(numberText).join(' ')}`);
      lines.push(`DOMAIN_MAX ${only.domainMax.map(numberText).join(' ')}`);
    }
  }
  for (const table of [curve, lattice]) {
    if (table) for (let row = 0; row < table.values.length; row += 3) lines.push(rowText(table.values, row));
  }
  return `${lines.join('\n')}\n`;
}

/** The specification limits a line to 250 bytes. */
const COMMENT_WIDTH = 110;

function commentLines(comment: string): string[] {
  const lines: string[] = [];
  let line = '#';
  for (const word of comment.split(/\s+/)) {
    if (line.length > 1 && line.length + 1 + word.length > COMMENT_WIDTH) {
      lines.push(line);
      line = '#  ';
    }
    line += ` ${word}`;
  }
  return [...lines, line];
}

function inputRange(kind: '1D' | '3D', table: LutTable): string {
  const [min] = table.domainMin;
  const [max] = table.domainMax;
  if (table.domainMin.some((v) => v !== min) || table.domainMax.some((v) => v !== max)) {
    throw new RangeError('a .cube of two tables has one input range for all three channels');
  }
  return `LUT_${kind}_INPUT_RANGE ${numberText(min)} ${numberText(max)}`;
}

function rowText(values: Float64Array, row: number): string {
  return Array.from(values.subarray(row, row + 3), numberText).join(' ');
}

/** Half the time of writing a large table is spent on its numbers: integers are common and faster. */
function numberText(value: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`a .cube cannot hold ${value}`);
  return Number.isInteger(value) ? String(value + 0) : value.toPrecision(9);
}

function quoted(word: string | undefined): string {
  return JSON.stringify((word ?? '').slice(0, 60));
}
