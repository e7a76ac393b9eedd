import { GoodgateError } from '../../jobs/errors.js';
import type { Generation, HashRecord, ListedDirectory, ListedFile } from './generation.js';
import { LIST_NAMESPACE } from './read-generation.js';
import { CHAIN_NAMESPACE, type ChainLink } from './read-history.js';

const HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n';

/**
 * The text of a generation, in the order of elements of the published schema (ASC MHL v2.0). In pieces: a
 * card of a million frames makes a long one.
 *
 * @throws GoodgateError `bad-option` for a name that XML cannot hold
 */
export function* generationXml(generation: Generation): Generator<string> {
  const { created, hostname, tool, toolVersion, ignore, files, directories, references } = generation;
  yield `${HEAD}<hashlist version="2.0" xmlns="${LIST_NAMESPACE}">\n  <creatorinfo>\n`;
  yield `    <creationdate>${escaped(created)}</creationdate>\n    <hostname>${escaped(hostname)}</hostname>\n`;
  yield `    <tool version="${escaped(toolVersion)}">${escaped(tool)}</tool>\n  </creatorinfo>\n`;
  yield '  <processinfo>\n    <process>in-place</process>\n';
  for (const directory of directories.filter(({ path }) => path === '')) {
    yield `    <roothash>\n${directoryHashesXml(directory, created)}    </roothash>\n`;
  }
  yield '    <ignore>\n';
  for (const pattern of ignore) yield `      <pattern>${escaped(pattern)}</pattern>\n`;
  yield '    </ignore>\n  </processinfo>\n';
  const listed = directories.filter(({ path }) => path !== '');
  if (files.length + listed.length > 0) {
    yield '  <hashes>\n';
    for (const file of files) yield fileXml(file, created);
    for (const directory of listed) {
      yield `    <directoryhash>\n      <path${dateXml(directory.modified)}>${escaped(directory.path)}</path>\n`;
      yield `${directoryHashesXml(directory, created)}    </directoryhash>\n`;
    }
    yield '  </hashes>\n';
  }
  if (references.length > 0) {
    yield '  <references>\n';
    for (const { path, c4 } of references) {
      yield `    <hashlistreference>\n      <path>${escaped(path)}</path>\n      <c4>${c4}</c4>\n    </hashlistreference>\n`;
    }
    yield '  </references>\n';
  }
  yield '</hashlist>\n';
}

/** The text of the chain file. */
export function chainXml(links: readonly ChainLink[]): string {
  const entries = links.map(
    ({ number, name, c4 }) =>
      `  <hashlist sequencenr="${number}">\n    <path>${escaped(name)}</path>\n    <c4>${c4}</c4>\n  </hashlist>\n`,
  );
  return `${HEAD}<ascmhldirectory xmlns="${CHAIN_NAMESPACE}">\n${entries.join('')}</ascmhldirectory>\n`;
}

function fileXml({ path, bytes, modified, hashes }: ListedFile, at: string): string {
  const size = bytes === null ? '' : ` size="${bytes}"`;
  const values = hashes.map((hash) => `      ${hashXml(hash, at)}\n`).join('');
  return `    <hash>\n      <path${size}${dateXml(modified)}>${escaped(path)}</path>\n${values}    </hash>\n`;
}

function hashXml({ format, value, action }: HashRecord, at: string): string {
  return `<${format} action="${action}" hashdate="${escaped(at)}">${value}</${format}>`;
}

function directoryHashesXml({ hashes }: ListedDirectory, at: string): string {
  const holder = (name: 'content' | 'structure'): string => {
    const values = hashes.map(
      (hash) => `        <${hash.format} hashdate="${escaped(at)}">${hash[name]}</${hash.format}>\n`,
    );
    return `      <${name}>\n${values.join('')}      </${name}>\n`;
  };
  return holder('content') + holder('structure');
}

function dateXml(modified: string | null): string {
  return modified === null ? '' : ` lastmodificationdate="${escaped(modified)}"`;
}

const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
/** What no document of XML 1.0 may hold, not even escaped (production 2). */
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are the characters to be found
const FORBIDDEN = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|\p{Surrogate}/u;

function escaped(text: string): string {
  if (FORBIDDEN.test(text)) {
    throw new GoodgateError('bad-option', {
      what: 'a name holds a control character, which a hash list cannot hold',
      where: text,
      next: 'rename it, and do it again',
    });
  }
  // Tabs and line ends would else be read back as blanks.
  return text
    .replace(/[&<>"]/g, (character) => ESCAPES[character] ?? '')
    .replace(/[\t\n\r]/g, (character) => `&#${character.charCodeAt(0)};`);
}
