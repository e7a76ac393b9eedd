import { lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { plainHash } from '../../jobs/hash-list/hash-format.js';
import type { Generation } from './generation.js';
import { readGeneration } from './read-generation.js';
import { readXml } from './read-xml.js';

/** Names of the standard, clauses 6.3 and 7.3. */
export const HISTORY_FOLDER = 'ascmhl';
export const CHAIN_FILE = 'ascmhl_chain.xml';
export const CHAIN_NAMESPACE = 'urn:ASC:MHL:DIRECTORY:v2.0';
const LIST_NAME = /^\d{4,}_.*\.mhl$/s;

export interface ChainLink {
  readonly number: number;
  readonly name: string;
  readonly c4: string;
}

export interface HistoryGeneration extends ChainLink {
  readonly generation: Generation;
}

/** All generations of the hash list of a folder, oldest first. */
export interface History {
  /** Absolute path of the folder the list covers. */
  readonly folder: string;
  readonly chain: readonly ChainLink[];
  readonly generations: readonly HistoryGeneration[];
  /** What is wrong with the list itself: a generation that is gone, changed, or not in the chain. */
  readonly faults: readonly { readonly path: string; readonly why: string }[];
}

/** Whether a folder has a hash list of its own. A link in its place is none. */
export async function hasHistory(folder: string): Promise<boolean> {
  const found = await lstat(join(folder, HISTORY_FOLDER)).catch(() => null);
  if (found?.isDirectory() !== true) return false;
  const names = await readdir(join(folder, HISTORY_FOLDER));
  return names.some((name) => name === CHAIN_FILE || LIST_NAME.test(name));
}

/**
 * Reads every generation of a folder and holds each against the chain: whoever changes a list changes its C4.
 *
 * @throws GoodgateError `missing-file`, `bad-document` for what cannot be read as a list at all.
 */
export async function readHistory(folder: string): Promise<History> {
  const home = join(folder, HISTORY_FOLDER);
  const names = (await readdir(home)).filter((name) => LIST_NAME.test(name)).sort();
  const faults: { path: string; why: string }[] = [];
  const chain =
    (await lstat(join(home, CHAIN_FILE)).catch(() => null)) === null ? null : await readChain(home);
  if (chain === null) {
    faults.push({ path: CHAIN_FILE, why: 'the chain file is missing: no generation can be proven' });
  }
  const links = chain ?? [];
  for (const [index, { number, name }] of links.entries()) {
    if (number !== index + 1) {
      faults.push({ path: CHAIN_FILE, why: `its entry ${index + 1} has the number ${number}` });
    }
    if (!names.includes(name))
      faults.push({ path: name, why: 'the chain names this generation; it is missing' });
  }
  const generations: HistoryGeneration[] = [];
  for (const name of inChainOrder(names, links)) {
    const { generation, c4 } = await readGeneration(join(home, name));
    const link = links.find((each) => each.name === name);
    if (chain !== null && link === undefined) {
      faults.push({ path: name, why: 'the chain does not know this generation' });
    } else if (link !== undefined && link.c4 !== c4) {
      faults.push({ path: name, why: 'it is not the generation the chain knows: its C4 is another' });
    }
    generations.push({ number: link?.number ?? Number.parseInt(name, 10), name, c4, generation });
  }
  return {
    folder,
    chain: links,
    generations,
    faults: faults.map(({ path, why }) => ({ path: `${HISTORY_FOLDER}/${path}`, why })),
  };
}

/** As in the chain; what it does not know comes last. */
function inChainOrder(names: readonly string[], links: readonly ChainLink[]): string[] {
  const place = (name: string): number => {
    const at = links.findIndex((link) => link.name === name);
    return at < 0 ? links.length : at;
  };
  return [...names].sort((a, b) => place(a) - place(b));
}

async function readChain(home: string): Promise<ChainLink[]> {
  const links: ChainLink[] = [];
  await readXml(join(home, CHAIN_FILE), {
    namespace: CHAIN_NAMESPACE,
    root: 'ascmhldirectory',
    take: ({ name, attributes, children }, path) => {
      if (path.length !== 2 || name !== 'hashlist') return false;
      const text = (wanted: string): string =>
        children.find((each) => each.name === wanted)?.text.trim() ?? '';
      const c4 = plainHash('c4', text('c4'));
      if (c4 === null) throw new Error('a generation in the chain has no C4');
      // A chain names files beside itself, and nothing else.
      if (!LIST_NAME.test(text('path')) || text('path').includes('/')) {
        throw new Error(`${JSON.stringify(text('path').slice(0, 200))} is no name of a generation`);
      }
      links.push({ number: Number(attributes.sequencenr), name: text('path'), c4 });
      return true;
    },
  });
  return links;
}
