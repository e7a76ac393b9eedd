import { describe, expect, it } from 'vitest';
import { type ManifestClip, type ManifestRule, manifest } from '../../jobs/manifest/manifest.js';
import { applyRules } from '../../planner/rules.js';
import { clipFacts } from './make-facts.js';

const clips: ManifestClip[] = [
  { file: 'A001/C001.mov', facts: clipFacts({ codec: 'prores', width: 3840 }) },
  { file: 'B002/C001.mp4', facts: clipFacts({ codec: 'h264', width: 1920 }) },
  { file: 'B002/sub/C002.mp4', facts: clipFacts({ codec: 'hevc', width: 3840 }), exposure: 1 },
  { file: 'unread.mov' },
];
const ruled = (...rules: ManifestRule[]) => applyRules({ clips, rules });

describe('rules', () => {
  it.each<[string, ManifestRule['match'], string[]]>([
    ['a folder and all below it', { file: 'B002/**' }, ['B002/C001.mp4', 'B002/sub/C002.mp4']],
    ['a name anywhere', { file: '*.mov' }, ['A001/C001.mov', 'unread.mov']],
    ['upper and lower case alike', { file: 'b002/*.MP4' }, ['B002/C001.mp4']],
    ['several patterns', { file: ['A001/', 'unread.*'] }, ['A001/C001.mov', 'unread.mov']],
    ['a fact', { codec: 'h264' }, ['B002/C001.mp4']],
    ['one of several', { codec: ['h264', 'hevc'] }, ['B002/C001.mp4', 'B002/sub/C002.mp4']],
    ['a pattern and a fact, which both must hold', { file: 'B002/**', width: 3840 }, ['B002/sub/C002.mp4']],
    [
      'a fact that is not known holds nowhere',
      { width: [3840, 1920] },
      clips.slice(0, 3).map(({ file }) => file),
    ],
  ])('match %s', (_, match, expected) => {
    const { clips: found } = ruled({ match, set: { reel: 'R' } });
    expect(found.filter(({ reel }) => reel === 'R').map(({ file }) => file)).toEqual(expected);
  });

  it('the last that matches counts, key by key; what the clip says itself goes before', () => {
    const { clips: found, notes } = ruled(
      {
        match: { file: '*' },
        set: { exposure: -1, targets: ['a'], colour: { transfer: 'S-Log3', range: 'full' } },
      },
      { match: { file: 'B002/**' }, set: { targets: ['b'], colour: { transfer: 'bt709' } } },
    );
    expect(found.map(({ targets, exposure }) => [targets, exposure])).toEqual([
      [['a'], -1],
      [['b'], -1],
      [['b'], 1],
      [['a'], -1],
    ]);
    expect(found[1]?.colour).toEqual({ transfer: 'bt709', range: 'full' });
    expect(notes).toContain('B002/C001.mp4: exposure by rule 1 (file *)');
    expect(notes).toContain('B002/C001.mp4: targets, colour by rule 2 (file B002/**)');
    expect(notes).not.toContain('B002/sub/C002.mp4: exposure by rule 1 (file *)');
  });

  it('skips clips and says by which rule; a clip may be kept all the same', () => {
    const { clips: found, skipped } = applyRules({
      clips: [...clips, { file: 'B002/keep.mp4', skip: false }, { file: 'no.mov', skip: true }],
      rules: [{ match: { file: 'B002/**' }, set: { skip: true } }],
    });
    expect(found.map(({ file }) => file)).toEqual(['A001/C001.mov', 'unread.mov', 'B002/keep.mp4']);
    expect(skipped).toEqual([
      { clip: 'B002/C001.mp4', by: 'rule 1 (file B002/**)' },
      { clip: 'B002/sub/C002.mp4', by: 'rule 1 (file B002/**)' },
      { clip: 'no.mov', by: 'the manifest (skip: true)' },
    ]);
  });

  it('a rule that matches nothing is told', () => {
    expect(ruled({ match: { codec: 'vp9' }, set: { skip: true } }).notes).toEqual([
      'rule 1 (codec vp9) matches no clip',
    ]);
  });

  it.each([
    ['no match', { match: {}, set: { skip: true } }],
    ['nothing set', { match: { file: '*' }, set: {} }],
    ['a pattern that takes back', { match: { file: '!*.mov' }, set: { skip: true } }],
    ['an unknown fact', { match: { camera: 'x' }, set: { skip: true } }],
  ])('refuses a rule with %s', (_, rule) => {
    const document = { schema: 'goodgate/manifest@1', title: 't', root: '.', clips: [], rules: [rule] };
    expect(manifest.safeParse(document).success).toBe(false);
  });
});
