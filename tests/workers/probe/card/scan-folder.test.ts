import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { formatManifest } from '../../../../jobs/manifest/load-manifest.js';
import { manifest } from '../../../../jobs/manifest/manifest.js';
import { naturalOrder, scanFolder } from '../../../../workers/probe/card/scan-folder.js';

let root: string;
let card: string;
let clip: string;
beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'goodgate-scan-'));
  clip = join(root, 'clip.wav');
  execFileSync('ffmpeg', ['-v', 'error', '-f', 'lavfi', '-i', 'sine=r=48000', '-t', '0.1', clip]);
  card = join(root, 'card');
  const place = (path: string) => {
    mkdirSync(join(card, path, '..'), { recursive: true });
    copyFileSync(clip, join(card, path));
  };
  for (const name of ['A10.wav', 'A2.wav', 'sub/B1.wav', 'sub/deep/C1.wav', 'no extension']) place(name);
  for (const name of ['.hidden.wav', '.trash/x.wav', 'Thumbs.db', 'A2.xml', 'card.mhl', 'look.cube'])
    place(name);
  for (const name of ['A2.JPG', 'THMBNL/C1T01.jpg', 'sub/._B1.wav']) place(name);
  writeFileSync(join(card, 'broken.mov'), 'not a clip');
  symlinkSync(clip, join(card, 'link-out.wav'));
  symlinkSync('A2.wav', join(card, 'link-in.wav'));
  symlinkSync('nowhere', join(card, 'link-dead.wav'));
  symlinkSync(card, join(card, 'sub', 'loop'));
  writeFileSync(
    Buffer.concat([Buffer.from(`${card}/bad-`), Buffer.from([0xff, 0xfe]), Buffer.from('.wav')]),
    'x',
  );
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

describe('scanFolder', () => {
  it('lists clips in natural order, what it cannot read with the reason, and what it left out', async () => {
    const seen: string[] = [];
    const found = await scanFolder([card], { onProgress: (done, total) => seen.push(`${done}/${total}`) });
    expect(manifest.parse(found)).toEqual(found);
    expect(found).toMatchObject({ title: 'card', root: card });
    expect(found.clips.map(({ file }) => file)).toEqual([
      'A2.wav',
      'A10.wav',
      'no extension',
      'sub/B1.wav',
      'sub/deep/C1.wav',
    ]);
    expect(found.clips.every(({ facts }) => facts?.audio.length === 1)).toBe(true);
    expect(found.unreadable).toEqual([
      { file: 'bad-\ufffd\ufffd.wav', reason: expect.stringMatching(/UTF-8/) },
      { file: 'broken.mov', reason: expect.stringMatching(/no index/) },
      { file: 'link-dead.wav', reason: expect.stringMatching(/broken link/) },
      { file: 'link-out.wav', reason: expect.stringMatching(/out of the folder/) },
    ]);
    expect(found.notes).toEqual([
      'left out: 2 × link within the folder',
      'left out: 4 × hidden or system file',
      'same content: A2.wav, A10.wav, no extension, sub/B1.wav, sub/deep/C1.wav (same size, and the same bytes wherever they were looked at; not every byte was compared)',
    ]);
    const listed = (found.leftOut ?? []).map(({ as }) => as);
    expect(listed.filter((as) => as === 'sidecar')).toHaveLength(3);
    expect(listed.filter((as) => as === 'thumbnail')).toHaveLength(2);
    expect(seen.at(-1)).toBe('6/6');
    expect(() => formatManifest(found)).not.toThrow();
  });

  it('takes several folders, each file once, and starts their paths where they meet', async () => {
    const found = await scanFolder([join(card, 'sub'), join(card, 'sub', 'deep')]);
    expect(found.root).toBe(join(card, 'sub'));
    expect(found.clips.map(({ file }) => file)).toEqual(['B1.wav', 'deep/C1.wav']);
    const two = await scanFolder([join(card, 'THMBNL'), join(card, 'sub', 'deep')]);
    expect(two.root).toBe(card);
    expect(two.clips.map(({ file }) => file)).toEqual(['sub/deep/C1.wav']);
  });

  it.each([
    ['no such folder', 'nowhere'],
    ['a file', 'A2.wav'],
  ])('refuses %s', async (_, name) => {
    await expect(scanFolder([join(card, name)])).rejects.toMatchObject({ code: 'missing-file' });
  });

  it('stops on abort, and on a missing tool, instead of listing every file as unreadable', async () => {
    await expect(scanFolder([card], { signal: AbortSignal.abort() })).rejects.toMatchObject({
      code: 'interrupted',
    });
    await expect(scanFolder([card], { tools: { ffprobe: '/nowhere' } })).rejects.toMatchObject({
      code: 'missing-tool',
    });
  });
});

describe('naturalOrder', () => {
  it('counts numbers by value, folder by folder, and never calls two names equal', () => {
    const names = ['b/1', 'a10', 'a/10', 'a2', 'A2', 'a/9', 'a02'];
    const sorted = [...names].sort(naturalOrder);
    expect(sorted.indexOf('a2')).toBeLessThan(sorted.indexOf('a10'));
    expect(sorted.indexOf('a/9')).toBeLessThan(sorted.indexOf('a/10'));
    for (const a of names) for (const b of names) if (a !== b) expect(naturalOrder(a, b)).not.toBe(0);
  });
});
