/**
 * A box of ISO/IEC 14496-12 (clause 4.2) or an atom of a QuickTime file: start and end of its content in a
 * buffer.
 */
export interface Box {
  readonly type: string;
  readonly body: number;
  readonly end: number;
}

/** The structure contradicts itself; the message, for people, says how. */
export class DamagedBoxes extends Error {}

/** More children than any real file has in one box. */
const MOST_CHILDREN = 10_000;

/**
 * The sibling boxes between two positions of a buffer. They are not read recursively, so deep nesting costs
 * nothing. A size of 0 ends the list (QuickTime ends some lists with four zero bytes), and so do fewer than 8
 * bytes.
 *
 * @throws DamagedBoxes for a box that is larger than the box around it, or too small.
 */
export function boxesBetween(data: Buffer, from: number, to: number): Box[] {
  const boxes: Box[] = [];
  let at = from;
  while (at + 8 <= to) {
    let size = data.readUInt32BE(at);
    if (size === 0) break;
    const type = data.toString('latin1', at + 4, at + 8);
    let header = 8;
    if (size === 1) {
      if (at + 16 > to)
        throw new DamagedBoxes(`the box "${printable(type)}" is larger than the box around it`);
      size = Number(data.readBigUInt64BE(at + 8));
      header = 16;
    }
    if (size < header) throw new DamagedBoxes(`the box "${printable(type)}" is too small for a box`);
    if (size > to - at)
      throw new DamagedBoxes(`the box "${printable(type)}" is larger than the box around it`);
    if (boxes.length === MOST_CHILDREN)
      throw new DamagedBoxes(`one box contains more than ${MOST_CHILDREN} others`);
    boxes.push({ type, body: at + header, end: at + size });
    at += size;
  }
  return boxes;
}

export function childrenOf(data: Buffer, box: Box): Box[] {
  return boxesBetween(data, box.body, box.end);
}

/** The first box along a path of types; null where one of them is not there. */
export function boxAt(data: Buffer, from: Box, ...path: readonly string[]): Box | null {
  let box: Box | null = from;
  for (const type of path) {
    if (box === null) return null;
    box = childrenOf(data, box).find((child) => child.type === type) ?? null;
  }
  return box;
}

function printable(type: string): string {
  return type.replace(/[^\x20-\x7e]/g, '?');
}
