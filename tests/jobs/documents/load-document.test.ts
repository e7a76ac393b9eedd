import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  checkDocument,
  LARGE_DOCUMENT,
  loadDocument,
  readYaml,
  SMALL_DOCUMENT,
} from '../../../jobs/documents/load-document.js';
import { GoodgateError } from '../../../jobs/errors.js';
import { manifest } from '../../../jobs/manifest/manifest.js';
import { target } from '../../../jobs/targets/target.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-documents-'));
  await execa('mkfifo', [join(folder, 'pipe.yaml')]);
});
afterAll(() => rm(folder, { recursive: true }));

/** The error of a target document: its place and its sentence in one text. */
function complaint(yaml: string): string {
  try {
    checkDocument(readYaml(yaml, 't.yaml', SMALL_DOCUMENT), target);
  } catch (error) {
    if (error instanceof GoodgateError && error.code === 'bad-document') return error.message;
    throw error;
  }
  throw new Error('the document was accepted');
}

const HEAD = 'schema: goodgate/target@1\nname: t\ntitle: T\n';

describe('a mistake in a target says where, what was given, what is allowed', () => {
  it.each([
    [
      'a word that is none',
      `${HEAD}require:\n  signal-rang: {}\n`,
      [
        't.yaml:5:3: require: unknown key "signal-rang"',
        'the nearest is signal-range; allowed: ',
        '`goodgate targets --schema` lists',
      ],
    ],
    [
      'a word inside a requirement',
      `${HEAD}require:\n  loudness:\n    target: -23\n    tolerence: 0.2\n    tolerance: 0.2\n`,
      ['t.yaml:7:5: require.loudness: unknown key "tolerence"', 'nearest is tolerance'],
    ],
    [
      'a value out of its limits',
      `${HEAD}require:\n  signal-range: { maxArea: 2 }\n`,
      ['t.yaml:5:28: require.signal-range.maxArea: given 2; allowed: 0 to 1'],
    ],
    [
      'a name that is none',
      `${HEAD}require:\n  colour:\n    primaries: bt907\n    transfer: [bt709]\n    matrix: bt709\n    range: narrow\n`,
      [
        't.yaml:6:16: require.colour.primaries: given "bt907"; the nearest is bt709; allowed: a name that',
        'goodgate levels --names',
      ],
    ],
    [
      'an entry of a list',
      `${HEAD}require:\n  scan: { is: [progressive, interlaced-tf] }\n`,
      ['t.yaml:5:29: require.scan.is[1]: given "interlaced-tf"', 'the nearest is interlaced-tff'],
    ],
    [
      'a key that is missing, at the map it is missing from',
      `${HEAD}require:\n  raster: { width: 1920 }\n`,
      ['t.yaml:5:11: require.raster.height: is missing; expected: a number'],
    ],
    [
      'a form that is none',
      `${HEAD}require:\n  frame-rate: { is: [25 fps] }\n`,
      ['t.yaml:5:22: require.frame-rate.is[0]: given "25 fps"; allowed: a rational such as "25/1"'],
    ],
    [
      'a number where the form is a text',
      `${HEAD}require:\n  frame-rate: { is: [25] }\n`,
      ['require.frame-rate.is[0]: given 25; allowed: a text'],
    ],
    [
      'a value that may take several forms',
      `${HEAD}make:\n  container: mov\n  video: { codec: prores, bitDepth: 10, chroma: "4:2:2" }\n  raster: sorce\n`,
      ['t.yaml:7:11: make.raster: given "sorce"; the nearest is source; allowed: source, or a map'],
    ],
    [
      'a map that may take several forms',
      `${HEAD}make:\n  container: mov\n  video: { codec: prores, bitDepth: 10, chroma: "4:2:2" }\n  raster: { width: 10, height: 20, fit: padd }\n`,
      ['t.yaml:7:41: make.raster.fit: given "padd"; the nearest is pad; allowed: pad, crop'],
    ],
    ['nothing to do', HEAD, ['t.yaml:1:1', 'a target needs `make`']],
    ['not a map at all', '- a\n', ['t.yaml:1:1: given a list of 1; allowed: a map']],
    ['an empty document', '', ['t.yaml:1:1: given nothing; allowed: a map']],
  ])('%s', (_, yaml, parts) => {
    for (const part of parts) expect(complaint(yaml)).toContain(part);
  });

  it('lists every problem, not only the first', () => {
    const message = complaint(
      'schema: goodgate/target@1\nname: T T\nrequire:\n  decode: { maxErors: 0 }\n  chroma: {}\n',
    );
    expect(message).toContain('4 problems');
    for (const place of [
      't.yaml:2:7: name',
      't.yaml:1:1: title',
      't.yaml:4:13: require.decode',
      't.yaml:5:11: require.chroma.declared',
    ]) {
      expect(message).toContain(`\n  ${place}`);
    }
  });

  it('gives places in JSON just as in YAML', () => {
    expect(complaint('{\n\t"schema": "goodgate/target@1",\n\t"name": 5\n}')).toContain(
      't.yaml:3:10: name: given 5',
    );
  });
});

describe('hostile documents are refused', () => {
  const bomb = ['a: &a [x,x,x,x,x,x,x,x,x]'];
  for (let i = 0; i < 9; i++) {
    const [from, to] = [String.fromCharCode(97 + i), String.fromCharCode(98 + i)];
    bomb.push(`${to}: &${to} [${Array(9).fill(`*${from}`).join(',')}]`);
  }
  // Refused while it is read, by the reason that bounds its cost; nothing of it is built or checked.
  it.each([
    ['a bomb of aliases', bomb.join('\n'), /Excessive alias count/],
    [
      'a nest 100,000 deep',
      '['.repeat(100_000),
      /^t\.yaml: more than 20 problems, the first of them(\n.*){20}$/,
    ],
    ['a tag that would build an object', 'a: !!js/function "function () {}"', /:1:4: Unresolved tag/],
    ['two documents in one', 'a: 1\n---\nb: 2\n', /:2:1: Source contains multiple documents/],
    ['one key twice', 'a: 1\na: 2\n', /:2:1: Map keys must be unique/],
    ['broken syntax', 'a: [1, 2\nb: }', /:2:4: Unexpected flow-map-end token/],
  ])('%s', (_, yaml, reason) => {
    const read = () => readYaml(yaml, 't.yaml', SMALL_DOCUMENT);
    expect(read).toThrow(GoodgateError);
    expect(read).toThrow(reason);
  });

  it('an alias of itself', () => {
    const read = readYaml('a: &a\n  b: *a\n', 't.yaml', SMALL_DOCUMENT);
    expect(() => checkDocument(read, target)).toThrow(GoodgateError);
  });

  // Bounded by counts, not by a clock: a list of 7,500,000 once took five minutes and 4 GB.
  it('more tokens than a target has, before any is built', () => {
    const yaml = `${HEAD}standards: [${'a,'.repeat(100_001)}]`;
    expect(() => readYaml(yaml, 't.yaml', SMALL_DOCUMENT)).toThrow(/more than 200000 tokens/);
  });

  it('10,000 unknown keys: the first twenty are told', () => {
    const yaml = `${HEAD}require: { decode: {} }\n${Array.from({ length: 10_000 }, (_, i) => `key${i}: 1`).join('\n')}\n`;
    const said = complaint(yaml);
    expect(said).toContain('more than 20 problems, the first of them');
    expect(said.split('\n')).toHaveLength(21);
  });

  it('one key 10,000 times: the first twenty are told', () => {
    expect(complaint(HEAD + 'name: t\n'.repeat(10_000)).split('\n')).toHaveLength(21);
  });

  it('300,000 clips that are none: the list is given up after the faults that are told', () => {
    const yaml = `schema: goodgate/manifest@1\ntitle: T\nroot: .\nclips: [${'a,'.repeat(300_000)}]`;
    const read = readYaml(yaml, 'm.yaml', LARGE_DOCUMENT);
    expect(() => checkDocument(read, manifest)).toThrow(/more than 20 problems/);
  });

  it('a list whose faults stand late is told by the entries that have them', () => {
    const clips = Array.from({ length: 1_500 }, (_, i) => (i < 1_200 ? `{file: c${i}.mov}` : '{file: 5}'));
    const yaml = `schema: goodgate/manifest@1\ntitle: T\nroot: .\nclips: [${clips.join(',')}]`;
    const read = readYaml(yaml, 'm.yaml', LARGE_DOCUMENT);
    expect(() => checkDocument(read, manifest)).toThrow(/clips\[1200\]\.file: given 5; allowed: a text/);
  });

  it('cannot reach the prototype of anything', () => {
    const read = readYaml(
      `${HEAD}__proto__: { polluted: true }\nrequire: { decode: {} }\n`,
      't.yaml',
      SMALL_DOCUMENT,
    );
    expect(() => checkDocument(read, target)).toThrow(/unknown key "__proto__"/);
    expect(Object.hasOwn(Object.prototype, 'polluted')).toBe(false);
  });
});

describe('loadDocument', () => {
  it.each([
    ['a missing file', 'no-such.yaml', 'missing-file'],
    ['a folder', '.', 'missing-file'],
    ['a device that never ends', '/dev/zero', 'missing-file'],
    ['a pipe nobody writes to', 'pipe.yaml', 'missing-file'],
  ])('%s', async (_, name, code) => {
    await expect(loadDocument(resolve(folder, name), manifest)).rejects.toMatchObject({ code });
  });

  it('bytes that are no text', async () => {
    const file = join(folder, 'binary.yaml');
    await writeFile(file, Buffer.from([0x66, 0xff, 0xfe, 0x00]));
    await expect(loadDocument(file, manifest)).rejects.toMatchObject({
      code: 'bad-document',
      what: 'the file is not UTF-8 text',
    });
  });

  it('more than it will read', async () => {
    const file = join(folder, 'huge.yaml');
    await writeFile(file, Buffer.alloc(33 * 1024 * 1024, '#'));
    await expect(loadDocument(file, manifest)).rejects.toMatchObject({ code: 'bad-document' });
  });
});
