import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { addToManifest } from '../../../jobs/manifest/add-to-manifest.js';
import { type Manifest, type ManifestClip, manifest } from '../../../jobs/manifest/manifest.js';
import { clipFacts } from '../../planner/make-facts.js';

const facts = (bytes: number): NonNullable<ManifestClip['facts']> => ({ ...clipFacts(), bytes });
const scanned = (
  root: string,
  files: Readonly<Record<string, number>>,
  more: Partial<Manifest> = {},
): Manifest => ({
  ...{ schema: 'goodgate/manifest@1', title: 'scan', root },
  clips: Object.entries(files).map(([file, bytes]) => ({ file, facts: facts(bytes) })),
  ...more,
});

/** As somebody left it: comments, an order of their own, a clip that was never scanned. */
const EDITED = `# Night 4
schema: goodgate/manifest@1
title: Night 4 # not the card's name
root: /v/A001
defaults: { colour: { transfer: S-Log3 }, targets: [proxy-h264] }
rules:
  # phones
  - match: { file: "Phone/**" }
    set: { skip: true }
  - match: { file: ["*.mp4", /Drone/x.mov] }
    set: { exposure: 1 }
clips:
  - file: C002.mov
    exposure: 0.5 # the director asked
    facts: ${JSON.stringify(facts(2))}
  - file: ./C001.mov
    facts: ${JSON.stringify(facts(1))}
  - file: Phone/a.mp4
unreadable:
  - { file: old.mov, reason: no index }
`;

function add(found: Manifest, folders = [found.root], text = EDITED) {
  const added = addToManifest({ text, isJson: false, root: '/v/A001', scanned: found, folders });
  return { ...added, data: manifest.parse(parse(added.text)) };
}

describe('a second scan into an edited manifest', () => {
  it('of the same card adds what is new, renews what changed, and keeps all that was written by hand', () => {
    const { text, added, changed, gone, newRoot, data } = add(
      scanned('/v/A001', { 'C001.mov': 1, 'C002.mov': 22, 'C003.mov': 3 }),
    );
    expect({ added, changed, gone, newRoot }).toEqual({
      ...{ added: ['C003.mov'], changed: ['C002.mov'], gone: ['Phone/a.mp4'], newRoot: null },
    });
    expect(data.clips.map(({ file, exposure }) => [file, exposure])).toEqual([
      ['C002.mov', 0.5],
      ['./C001.mov', undefined],
      ['Phone/a.mp4', undefined],
      ['C003.mov', undefined],
    ]);
    expect(data.clips[0]?.facts?.bytes).toBe(22);
    for (const kept of ['# Night 4', "# not the card's name", '# phones', '# the director asked']) {
      expect(text).toContain(kept);
    }
    // What the first scan could not read is not there any more.
    expect(data.unreadable).toBeUndefined();
  });

  it('that finds nothing new changes nothing, to the byte', () => {
    const first = add(scanned('/v/A001', { 'C001.mov': 1, 'C002.mov': 2, 'Phone/a.mp4': 4 }));
    const second = add(
      scanned('/v/A001', { 'C001.mov': 1, 'C002.mov': 2, 'Phone/a.mp4': 4 }),
      undefined,
      first.text,
    );
    expect(second).toMatchObject({ added: [], changed: [], gone: [], text: first.text });
  });

  it('of a folder within touches nothing outside it', () => {
    const { gone, added, data } = add(scanned('/v/A001/Day2', { 'D1.mov': 9 }));
    expect({ gone, added }).toEqual({ gone: [], added: ['Day2/D1.mov'] });
    expect(data.unreadable).toEqual([{ file: 'old.mov', reason: 'no index' }]);
  });

  it('of another card starts all paths, and patterns of folders, from the folder above both', () => {
    const { newRoot, added, gone, data } = add(
      scanned(
        '/v/B002',
        { 'C001.mov': 7 },
        {
          unreadable: [{ file: 'half.mov', reason: 'cut short' }],
          leftOut: [{ file: 'Sub/C001.mov', as: 'low-resolution copy', of: 'C001.mov' }],
        },
      ),
    );
    expect({ newRoot, added, gone, root: data.root }).toEqual({
      ...{ newRoot: '/v', added: ['B002/C001.mov'], gone: [], root: '/v' },
    });
    expect(data.clips.map(({ file }) => file)).toEqual([
      ...['A001/C002.mov', 'A001/C001.mov', 'A001/Phone/a.mp4', 'B002/C001.mov'],
    ]);
    expect(data.rules?.map(({ match }) => match.file)).toEqual([
      'A001/Phone/**',
      ['A001/**/*.mp4', 'A001/Drone/x.mov'],
    ]);
    expect(data.unreadable?.map(({ file }) => file)).toEqual(['A001/old.mov', 'B002/half.mov']);
    expect(data.leftOut).toEqual([
      { file: 'B002/Sub/C001.mov', as: 'low-resolution copy', of: 'B002/C001.mov' },
    ]);
  });

  it('keeps a copy that was listed as a clip by hand, and what is a clip is not also unreadable', () => {
    const { data, gone } = add(
      scanned(
        '/v/A001',
        { 'C001.mov': 1 },
        {
          leftOut: [{ file: 'Phone/a.mp4', as: 'low-resolution copy', of: 'C001.mov' }],
          unreadable: [{ file: 'C002.mov', reason: 'cut short' }],
        },
      ),
    );
    expect(data.clips).toHaveLength(3);
    expect(data.leftOut).toBeUndefined();
    expect(data.unreadable).toBeUndefined();
    expect(gone).toEqual(['C002.mov']);
  });

  it('a JSON manifest stays JSON', () => {
    const json = JSON.stringify(scanned('/v/A001', { 'C001.mov': 1 }));
    const found = scanned('/v/A001', { 'C001.mov': 1, 'C002.mov': 2 });
    const { text } = addToManifest({
      text: json,
      isJson: true,
      root: '/v/A001',
      scanned: found,
      folders: ['/v/A001'],
    });
    expect(manifest.parse(JSON.parse(text)).clips).toHaveLength(2);
  });
});
