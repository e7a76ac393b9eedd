import { createHash } from 'node:crypto';
import { constants } from 'node:fs';
import { open } from 'node:fs/promises';
import { SaxesParser } from 'saxes';
import { GoodgateError } from '../../jobs/errors.js';
import { c4OfDigest } from './c4.js';

/** An element with what it holds. Text of its own only, not of its children. */
export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: XmlElement[];
  text: string;
  /** Line it ends in. */
  line: number;
}

/** A million frames of a picture sequence make a list of about 400 MB. */
const MOST_BYTES = 2 ** 30;
const MOST_DEPTH = 32;
const MOST_TEXT = 65_536;
const PIECE_BYTES = 1 << 20;

export interface ReadXmlOptions {
  readonly namespace: string;
  /** Name of the outermost element. */
  readonly root: string;
  /**
   * Takes an element when it ends; true: it is done with and need not be kept. A list of a million files is
   * then never in memory as a tree.
   */
  readonly take?: (element: XmlElement, path: readonly string[]) => boolean;
}

export interface XmlFile {
  readonly root: XmlElement;
  /** C4 of the bytes of the file, taken in the same read. */
  readonly c4: string;
}

/**
 * Reads an XML file of any size that is a list of ours, bounded: no document type (and so no entities beyond
 * the five of XML and none from outside), at most so deep, so long. Elements of other namespaces are left
 * out. A link is not followed.
 *
 * @throws GoodgateError `missing-file` where it cannot be read, `bad-document` with the line of the mistake.
 */
export async function readXml(path: string, options: ReadXmlOptions): Promise<XmlFile> {
  const hash = createHash('sha512');
  const text = new TextDecoder('utf-8', { fatal: true });
  const tree = new TreeBuilder(options);
  await readPieces(path, (piece) => {
    hash.update(piece);
    parse(path, tree, () => tree.write(text.decode(piece, { stream: true })));
  });
  const root = parse(path, tree, () => {
    tree.write(text.decode());
    return tree.end();
  });
  return { root, c4: c4OfDigest(hash.digest()) };
}

function parse<T>(path: string, tree: TreeBuilder, work: () => T): T {
  try {
    return work();
  } catch (cause) {
    if (cause instanceof GoodgateError) throw cause;
    const reason = cause instanceof Error ? cause.message.replace(/^\d+:\d+: /, '') : String(cause);
    throw new GoodgateError('bad-document', {
      what: `the hash list cannot be read: ${reason}`,
      where: `${path}, line ${tree.line}`,
      next: 'copy the list once more from where the card was copied',
      cause,
    });
  }
}

async function readPieces(path: string, take: (piece: Buffer) => void): Promise<void> {
  const file = await open(path, constants.O_RDONLY | constants.O_NOFOLLOW | constants.O_NONBLOCK).catch(
    (cause: unknown) => {
      throw new GoodgateError('missing-file', {
        what: 'the hash list is not there, or cannot be read',
        where: path,
        next: 'check the path, and that you may read it; a link is not followed',
        cause,
      });
    },
  );
  try {
    const found = await file.stat();
    if (!found.isFile() || found.size > MOST_BYTES) {
      throw new GoodgateError('bad-document', {
        what: found.isFile() ? `the hash list has more than ${MOST_BYTES} bytes` : 'it is no plain file',
        where: path,
        next: 'check that it is the hash list of the card',
      });
    }
    const piece = Buffer.allocUnsafe(PIECE_BYTES);
    for (let at = 0; at <= MOST_BYTES; ) {
      const { bytesRead } = await file.read(piece, 0, PIECE_BYTES, at);
      if (bytesRead === 0) return;
      take(piece.subarray(0, bytesRead));
      at += bytesRead;
    }
  } finally {
    await file.close();
  }
}

/** Builds the tree of one namespace from what the parser says. Throws Error with the reason. */
class TreeBuilder {
  readonly #options: ReadXmlOptions;
  readonly #parser = new SaxesParser({ xmlns: true, position: true });
  /** Elements that are open; null stands for one of another namespace. */
  readonly #open: (XmlElement | null)[] = [];
  #root: XmlElement | null = null;

  constructor(options: ReadXmlOptions) {
    this.#options = options;
    const parser = this.#parser;
    parser.on('error', (error) => {
      throw error;
    });
    parser.on('doctype', () => {
      throw new Error('it has a document type, which a hash list has not');
    });
    parser.on('text', (text) => this.#addText(text));
    parser.on('cdata', (text) => this.#addText(text));
    parser.on('opentag', ({ local, uri, attributes }) => {
      const own = uri === options.namespace;
      if (this.#open.length === 0 && !(own && local === options.root)) {
        throw new Error(`it begins with <${local}>, not with <${options.root} xmlns="${options.namespace}">`);
      }
      if (this.#open.length >= MOST_DEPTH) throw new Error(`it is more than ${MOST_DEPTH} elements deep`);
      const plain = Object.values(attributes).map(({ local: name, value }) => [name, value] as const);
      this.#open.push(
        own
          ? { name: local, attributes: Object.fromEntries(plain), children: [], text: '', line: parser.line }
          : null,
      );
    });
    parser.on('closetag', () => this.#close());
  }

  get line(): number {
    return this.#parser.line;
  }

  write(text: string): void {
    this.#parser.write(text);
  }

  end(): XmlElement {
    this.#parser.close();
    if (this.#root === null) throw new Error('it is empty');
    return this.#root;
  }

  #addText(text: string): void {
    const element = this.#open.at(-1);
    if (element === undefined || element === null) return;
    if (element.text.length + text.length > MOST_TEXT) {
      throw new Error(`<${element.name}> holds more than ${MOST_TEXT} characters`);
    }
    element.text += text;
  }

  #close(): void {
    const element = this.#open.pop() ?? null;
    if (element === null) return;
    element.line = this.#parser.line;
    if (this.#open.length === 0) {
      this.#root = element;
      return;
    }
    const parent = this.#open.at(-1) ?? null;
    // Inside an element of another namespace nothing is ours.
    if (parent === null) return;
    const path = [...this.#open.flatMap((each) => each?.name ?? []), element.name];
    if (this.#options.take?.(element, path) !== true) parent.children.push(element);
  }
}
