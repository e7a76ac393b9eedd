import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { checkDocument, LARGE_DOCUMENT, readYaml } from '../../../jobs/documents/load-document.js';
import { piecesOf } from '../../../jobs/documents/pieces.js';
import { readInPieces } from '../../../jobs/documents/read-in-pieces.js';
import { type Manifest, manifest, manifestClip } from '../../../jobs/manifest/manifest.js';
import { clipFacts } from '../../planner/make-facts.js';

const ABOUT = { list: 'clips', document: manifest, entry: manifestClip };

function inPieces(text: string): Manifest | null {
  const bytes = Buffer.from(text);
  const pieces = piecesOf(bytes, 'clips');
  if (pieces === null) return null;
  const { document, entries } = readInPieces(bytes, 'm', pieces, ABOUT);
  return { ...document, clips: entries };
}

/** By the reader that knows the whole document: what the other must agree with. */
function whole(text: string): Manifest {
  return checkDocument(readYaml(text, 'm', LARGE_DOCUMENT), manifest);
}

function complaintOf(read: () => unknown): string {
  try {
    read();
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
  return 'none';
}

const DOCUMENT: Manifest = {
  schema: 'goodgate/manifest@1',
  title: 'Night 4: "clips: []" — card A',
  root: '/volumes/A001',
  defaults: { targets: ['proxy-h264'] },
  rules: [{ match: { file: '*.mov' }, set: { skip: false } }],
  clips: [
    { file: 'a/b [1].mov', reel: 'A "1" {x}\n- y', facts: clipFacts() },
    {
      file: 'ä 東.mov',
      look: null,
      sound: [1, 2],
      facts: clipFacts(null, { notes: ['a: b', '- c # d', '\\"'] }),
    },
    { file: '0x1F.mov', reel: '12', startTimecode: '10:00:00:00', exposure: -0.5 },
  ],
  unreadable: [{ file: 'x.mov', reason: 'clips:\n  - it: is nothing' }],
};

describe('a document read in pieces', () => {
  it.each([
    ['JSON on one line', JSON.stringify(DOCUMENT)],
    ['JSON with indentation', JSON.stringify(DOCUMENT, null, 2)],
    ['JSON with a byte order mark', `\uFEFF${JSON.stringify(DOCUMENT, null, '\t')}`],
    ['YAML as scan writes it', stringify(DOCUMENT, { lineWidth: 0 })],
    ['YAML with long lines folded', stringify(DOCUMENT)],
    ['YAML whose list is not indented', stringify(DOCUMENT, { indentSeq: false })],
    ['YAML with comments', stringify(DOCUMENT).replace('clips:\n', 'clips: # all of them\n# here\n\n')],
    [
      'YAML with flow maps',
      'schema: goodgate/manifest@1\ntitle: t\nroot: r\nclips:\n  - {file: a,\n     reel: b}\n  - file: c\n',
    ],
    ['an empty list', JSON.stringify({ ...DOCUMENT, clips: [] }, null, 1)],
  ])('%s is the same as read whole', (_, text) => {
    expect(inPieces(text)).toEqual(whole(text));
  });

  it.each([
    ['a list in one line of YAML', 'title: t\nclips: [{file: a}]\n'],
    ['entries that are no maps', '{"clips": [1, 2]}'],
    ['a comma too many', '{"clips": [{"file": "a"},]}'],
    ['no comma', '{"clips": [{"file": "a"} {"file": "b"}]}'],
    ['two lists of the name', '{"clips": [{"file": "a"}], "clips": [{"file": "b"}]}'],
    ['a list that does not end', '{"clips": [{"file": "a"}'],
    ['a text that does not end', '{"clips": [{"file": "a}'],
    ['no such list', 'title: t\n'],
    ['a list further in', '{"a": {"clips": [{"file": "a"}]}}'],
  ])('%s is left to the reader of whole documents', (_, text) => {
    expect(piecesOf(Buffer.from(text), 'clips')).toBeNull();
  });

  const wrong = (change: (text: string) => string): [string, string] => [
    change(JSON.stringify(DOCUMENT, null, 2)),
    change(stringify(DOCUMENT)),
  ];
  it.each([
    ['a key that is unknown', wrong((text) => text.replace(/("?)look\1: /, '$1lok$1: '))],
    ['values of another kind', wrong((text) => text.replaceAll('1000000', '"many"'))],
    ['a key of the head', wrong((text) => text.replace('goodgate/manifest@1', 'goodgate/manifst@1'))],
    ['a key behind the list', wrong((text) => text.replace('reason', 'raeson'))],
    [
      'a key that stands twice',
      ['{"schema":"goodgate/manifest@1","title":"t","root":"r","clips":[{"file":"a","file":"b"}]}'],
    ],
    ['and in YAML', ['schema: goodgate/manifest@1\ntitle: t\nroot: r\nclips:\n  - file: a\n    file: b\n']],
  ])('%s: the same complaint at the same place', (_, texts) => {
    for (const text of texts) {
      expect(complaintOf(() => inPieces(text))).toBe(complaintOf(() => whole(text)));
      expect(complaintOf(() => inPieces(text))).not.toBe('none');
    }
  });

  it('aliases in an entry cannot grow it without bound', () => {
    const levels = Array.from(
      { length: 9 },
      (_, at) => `    k${at + 1}: &a${at + 1} [${Array(9).fill(`*a${at}`).join(',')}]`,
    );
    const text = `schema: goodgate/manifest@1\ntitle: t\nroot: r\nclips:\n  - file: a\n    k0: &a0 [x]\n${levels.join('\n')}\n`;
    expect(complaintOf(() => inPieces(text))).toMatch(/cannot be read|alias/i);
  });

  it('a million broken entries: the first twenty are told', () => {
    const text = `{"schema":"goodgate/manifest@1","title":"t","root":"r","clips":[${'{},'.repeat(999_999)}{}]}`;
    const complaint = complaintOf(() => inPieces(text));
    expect(complaint).toContain('more than 20 problems');
    expect(complaint).toContain('clips[19].file: is missing');
  });

  it('an entry as long as a document is refused before it is read', () => {
    const text = `{"schema":"goodgate/manifest@1","title":"t","root":"r","clips":[{"file":"${'a'.repeat(2_000_000)}"}]}`;
    expect(complaintOf(() => inPieces(text))).toMatch(/bytes in clips\[0\]; at most/);
  });

  it('deep nesting is refused', () => {
    const text = `{"schema":"goodgate/manifest@1","title":"t","root":"r","clips":[{"file":${'['.repeat(200_000)}${']'.repeat(200_000)}}]}`;
    expect(complaintOf(() => inPieces(text))).toMatch(/cannot be read|tokens|given a list/);
  });
});
