import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { manifest } from '../../../../jobs/manifest/manifest.js';
import { isIndexOrData } from '../../../../workers/probe/card/left-out.js';
import { scanFolder } from '../../../../workers/probe/card/scan-folder.js';
import { writeFiles } from '../../../media/example-card.js';

let root: string;
beforeAll(async () => {
  root = await mkdtemp(join(tmpdir(), 'goodgate-left-out-'));
});
afterAll(() => rm(root, { recursive: true, force: true }));

type Clip = readonly [path: string, size: string, frames: number, timecode?: string];

/** Clips of so many frames at 25, and their timecode: all by one command. */
async function draw(...clips: readonly Clip[]): Promise<void> {
  for (const [path] of clips) await mkdir(join(root, path, '..'), { recursive: true });
  const outputs = clips.flatMap(([path, size, frames, timecode = '10:00:00:00']) => [
    ...['-s', size, '-frames:v', String(frames), '-c:v', 'mjpeg', '-timecode', timecode],
    ...['-f', 'mov', join(root, path)],
  ]);
  await execa('ffmpeg', ['-v', 'error', '-f', 'lavfi', '-i', 'testsrc2=s=256x128:r=25', ...outputs]);
}

/** As the trees of two kinds of card: clips and copies in folders of their own, or side by side. */
describe('a card as cameras write it', () => {
  beforeAll(async () => {
    await draw(
      ['A/Clip/C0001.mov', '256x128', 10],
      ['A/Clip/C0002.mov', '256x128', 12, '10:01:00:00'],
      ['A/Sub/C0001S03.mov', '64x32', 10],
      ['A/Sub/C0002S03.mov', '64x32', 12, '10:01:00:00'],
      ['A/Flat/XA010001.mov', '256x128', 8],
      ['A/Flat/XB010001.lrv', '64x32', 8],
    );
    await writeFiles(join(root, 'A'), {
      'INDEX.MIF': Buffer.from([0, 1, 2, 3, 250, 251]),
      'LIST/00001.MPL': 'MPL list of clips',
      'STATUS.BIN': Buffer.alloc(4096),
      'EMPTY.LCK': '',
      'Clip/C0001M01.XML': '<meta/>',
    });
  });

  it('gives its clips; index, lists and copies are listed apart, and nothing counts as unreadable', async () => {
    const found = await scanFolder([join(root, 'A')]);
    expect(manifest.parse(found)).toEqual(found);
    expect(found.clips.map(({ file }) => file)).toEqual([
      'Clip/C0001.mov',
      'Clip/C0002.mov',
      'Flat/XA010001.mov',
    ]);
    expect(found.unreadable).toBeUndefined();
    expect(found.leftOut).toEqual([
      { file: 'Clip/C0001M01.XML', as: 'sidecar' },
      { file: 'EMPTY.LCK', as: 'index or data file' },
      { file: 'Flat/XB010001.lrv', as: 'low-resolution copy', of: 'Flat/XA010001.mov' },
      { file: 'INDEX.MIF', as: 'index or data file' },
      { file: 'LIST/00001.MPL', as: 'index or data file' },
      { file: 'STATUS.BIN', as: 'index or data file' },
      { file: 'Sub/C0001S03.mov', as: 'low-resolution copy', of: 'Clip/C0001.mov' },
      { file: 'Sub/C0002S03.mov', as: 'low-resolution copy', of: 'Clip/C0002.mov' },
    ]);
  });

  it('takes copies for clips when asked', async () => {
    const found = await scanFolder([join(root, 'A')], { copies: true });
    expect(found.clips).toHaveLength(6);
  });
});

describe('what is no copy stays a clip', () => {
  it.each([
    ['another length', ['B1/C0001.mov', '256x128', 10], ['B1/C0001S.mov', '64x32', 14]],
    ['another timecode', ['B2/C0001.mov', '256x128', 10], ['B2/C0001S.mov', '64x32', 10, '11:00:00:00']],
    ['another name', ['B3/C0001.mov', '256x128', 10], ['B3/C0002.mov', '64x32', 10]],
    ['a longer number', ['B4/C0001.mov', '256x128', 10], ['B4/C00011.mov', '64x32', 10]],
    ['as large', ['B5/Clip/C0001.mov', '256x128', 10], ['B5/Other/C0001.mov', '256x128', 10]],
  ] as const)('%s', async (_, full, low) => {
    await draw(full, low);
    const found = await scanFolder([join(root, full[0].split('/')[0] ?? '')]);
    expect(found.clips).toHaveLength(2);
    expect(found.leftOut).toBeUndefined();
  });

  it('in a folder where there is a clip of its own', async () => {
    await draw(
      ['B6/Clip/C0001.mov', '256x128', 10],
      ['B6/Other/C0001.mov', '64x32', 10],
      ['B6/Other/C0007.mov', '64x32', 33],
    );
    expect((await scanFolder([join(root, 'B6')])).clips).toHaveLength(3);
  });
});

describe('what is damaged is never taken for housekeeping', () => {
  const files: Readonly<Record<string, string | Buffer>> = {
    'a clip that is no clip.mov': 'text',
    'empty.mxf': '',
    'no ending and empty': '',
    'misnamed.dat': Buffer.concat([Buffer.from([0, 0, 0, 24]), Buffer.from('ftypqt  '), Buffer.alloc(40)]),
    'mxf.bin': Buffer.from('060e2b34020501010d010201', 'hex'),
    'transport.x': Buffer.from([0x47, ...Buffer.alloc(187), 0x47, ...Buffer.alloc(187)]),
    'large.unknown': Buffer.alloc((1 << 20) + 1),
  };
  beforeAll(() => writeFiles(join(root, 'D'), files));

  it.each(Object.keys(files))('%s', async (name) => {
    expect(await isIndexOrData(join(root, 'D', name))).toBe(false);
  });

  it('and is unreadable, by name', async () => {
    const found = await scanFolder([join(root, 'D')]);
    expect(found.leftOut).toBeUndefined();
    expect(found.unreadable?.map(({ file }) => file).sort()).toEqual(Object.keys(files).sort());
  });
});
