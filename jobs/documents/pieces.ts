/** Where one entry of a list stands in a document: bytes, and its line and column, both from 0. */
export interface Piece {
  readonly from: number;
  readonly to: number;
  readonly line: number;
  readonly column: number;
  /** Keys it has in the text, where that is JSON: fewer when it is read, where one stands twice. */
  readonly keys: number | null;
}

/** A document that is one map, and the entries of one of its lists. */
export interface Pieces {
  readonly isJson: boolean;
  /** From behind the name of the list to what follows it, with as many line breaks in it. */
  readonly list: { readonly from: number; readonly to: number; readonly lines: number };
  readonly entries: readonly Piece[];
  /** Keys outside the list, where the text is JSON. */
  readonly keys: number | null;
}

/** More than any list has that people need: each takes some memory before anything is read. */
export const MOST_ENTRIES = 1_000_000;

const [NEWLINE, SPACE, TAB, QUOTE, HASH, COMMA, DASH, COLON] = [10, 32, 9, 34, 35, 44, 45, 58];
const [OPEN_LIST, BACKSLASH, CLOSE_LIST, OPEN_MAP, CLOSE_MAP, RETURN] = [91, 92, 93, 123, 125, 13];

/**
 * Finds the entries of the list `name`, each a map, without reading them: in JSON, and in YAML as it is
 * usually written, one entry below the other. Null for anything else,
 * and where there are more than a million. Time goes with the length, whatever
 * the text holds. Pure.
 *
 * @param bytes UTF-8
 */
export function piecesOf(bytes: Uint8Array, name: string): Pieces | null {
  const hasMark = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
  let start = hasMark ? 3 : 0;
  while (isBlank(bytes[start])) start += 1;
  return bytes[start] === OPEN_MAP ? jsonPieces(bytes, name) : yamlPieces(bytes, name);
}

function isBlank(byte: number | undefined): boolean {
  return byte === SPACE || byte === TAB || byte === NEWLINE || byte === RETURN;
}

/** Brackets are counted and texts passed over; whether it is JSON at all is for who reads the pieces. */
function jsonPieces(bytes: Uint8Array, name: string): Pieces | null {
  const wanted = Buffer.from(`"${name}"`);
  const entries: Piece[] = [];
  let [depth, line, lineFrom, colons, keys] = [0, 0, 0, 0, 0];
  let isNamed = false;
  let isInList = false;
  let list: { from: number; line: number } | null = null;
  let end: { to: number; lines: number } | null = null;
  let begun: { from: number; line: number; column: number } | null = null;
  let isEntryNext = true;
  for (let at = 0; at < bytes.length; at += 1) {
    const byte = bytes[at];
    if (byte === NEWLINE) {
      line += 1;
      lineFrom = at + 1;
    } else if (byte === QUOTE) {
      const from = at;
      at = endOfText(bytes, at + 1);
      if (at < 0 || (isInList && depth === 2)) return null;
      if (depth === 1) isNamed = isSame(bytes, from, wanted);
    } else if (byte === COLON) {
      colons += 1;
    } else if (byte === OPEN_MAP || byte === OPEN_LIST) {
      if (isInList && depth === 2) {
        if (byte === OPEN_LIST || !isEntryNext || entries.length === MOST_ENTRIES) return null;
        begun = { from: at, line, column: at - lineFrom };
        keys += colons;
        colons = 0;
      } else if (depth === 1 && isNamed && byte === OPEN_LIST) {
        if (list !== null) return null;
        isInList = true;
        list = { from: at, line };
      }
      depth += 1;
    } else if (byte === CLOSE_MAP || byte === CLOSE_LIST) {
      depth -= 1;
      if (isInList && depth === 2 && begun !== null) {
        entries.push({ ...begun, to: at + 1, keys: colons });
        [colons, isEntryNext, begun] = [0, false, null];
      } else if (isInList && depth === 1) {
        if (isEntryNext && entries.length > 0) return null;
        isInList = false;
        isNamed = false;
        end = { to: at + 1, lines: line - (list?.line ?? 0) };
      }
    } else if (isInList && depth === 2 && !isBlank(byte)) {
      if (byte !== COMMA || isEntryNext) return null;
      isEntryNext = true;
    }
  }
  if (list === null || end === null || depth !== 0) return null;
  return { isJson: true, list: { from: list.from, ...end }, entries, keys: keys + colons };
}

/** The place of the quotation mark that ends a text; -1 where none does. */
function endOfText(bytes: Uint8Array, from: number): number {
  for (let at = from; at < bytes.length; at += 1) {
    if (bytes[at] === BACKSLASH) at += 1;
    else if (bytes[at] === QUOTE) return at;
  }
  return -1;
}

function isSame(bytes: Uint8Array, from: number, wanted: Uint8Array): boolean {
  return wanted.every((byte, index) => bytes[from + index] === byte);
}

/** What belongs to an entry stands further in than its dash, by the rules of YAML. */
function yamlPieces(bytes: Uint8Array, name: string): Pieces | null {
  const head = Buffer.from(`${name}:`);
  const entries: Piece[] = [];
  let list: { from: number; line: number } | null = null;
  let end: { to: number; lines: number } | null = null;
  let indent = -1;
  let begun: Omit<Piece, 'to'> | null = null;
  const finish = (to: number): void => {
    if (begun !== null) entries.push({ ...begun, to });
    begun = null;
  };
  for (let from = 0, line = 0; from < bytes.length; line += 1) {
    const next = bytes.indexOf(NEWLINE, from);
    const to = next < 0 ? bytes.length : next + 1;
    const first = firstIn(bytes, from, to);
    if (list === null) {
      if (isSame(bytes, from, head)) {
        const behind = from + head.length;
        if (!isEmpty(bytes, behind, to)) return null;
        list = { from: behind, line };
      }
    } else if (end === null && !isEmpty(bytes, from, to)) {
      const inward = first - from;
      const isDash = bytes[first] === DASH && (first + 1 === to || isBlank(bytes[first + 1]));
      if (indent < 0 && isDash) indent = inward;
      if (isDash && inward === indent) {
        finish(from);
        if (entries.length === MOST_ENTRIES) return null;
        begun = { from, line, column: 0, keys: null };
      } else if (indent < 0 || inward < indent || (inward === indent && indent === 0)) {
        if (inward > 0) return null;
        finish(from);
        end = { to: from, lines: line - list.line };
      } else if (inward === indent || bytes[first] === TAB) return null;
    }
    from = to;
    if (to === bytes.length) finish(to);
  }
  if (list === null) return null;
  const whole = end ?? { to: bytes.length, lines: 0 };
  return { isJson: false, list: { from: list.from, ...whole }, entries, keys: null };
}

/** Index of the first byte of a line that is no space. */
function firstIn(bytes: Uint8Array, from: number, to: number): number {
  let at = from;
  while (at < to && bytes[at] === SPACE) at += 1;
  return at;
}

/** Nothing but blanks, and perhaps a comment. */
function isEmpty(bytes: Uint8Array, from: number, to: number): boolean {
  for (let at = from; at < to; at += 1) {
    if (bytes[at] === HASH && (at === from || isBlank(bytes[at - 1]))) return true;
    if (!isBlank(bytes[at])) return false;
  }
  return true;
}
