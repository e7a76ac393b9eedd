import { readFile, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { measurement } from '../../jobs/measurement/measurement.js';
import { openWorkshop, type Workshop } from './goodgate.js';

/** Ways of writing a file that are whole and right, and unlike those of the other tests. */
let shop: Workshop;
beforeAll(async () => {
  shop = await openWorkshop();
});
afterAll(() => shop.close());

const PICTURE = ['-f', 'lavfi', '-i', 'testsrc2=s=128x72:r=25:d=2'];

async function make(name: string, ...args: string[]): Promise<string> {
  await execa('ffmpeg', ['-v', 'error', '-y', ...args, name], { cwd: shop.folder });
  return name;
}
async function measured(name: string) {
  const { stdout, exitCode } = await shop.start(['measure', name, '--json']);
  expect(exitCode).toBe(0);
  return measurement.parse(JSON.parse(String(stdout)));
}

describe('whole files are not told to end early', () => {
  it('Matroska whose pictures begin 0.6 s from zero, where its duration counts from', async () => {
    await make('begins.mkv', ...PICTURE, '-c:v', 'ffv1');
    const found = await measured(
      await make('late.mkv', '-itsoffset', '0.6', '-i', 'begins.mkv', '-c', 'copy'),
    );
    expect(found.container.durationSeconds).toBeCloseTo(2.6, 2);
    expect(found.video).toMatchObject({ frames: 50, frameRate: '25/1', constantRate: true });
    expect(found.decode).toMatchObject({ errors: 0, truncated: false });
  });

  it('AVI whose repeated frames are empty chunks', async () => {
    const gaps = ['-vf', "select='not(between(n,10,29))'", '-fps_mode', 'vfr'];
    const found = await measured(await make('gaps.avi', ...PICTURE, ...gaps, '-c:v', 'ffv1'));
    expect(found.video).toMatchObject({
      frames: 30,
      framesDeclared: 50,
      frameRate: '25/1',
      constantRate: false,
    });
    expect(found.decode).toMatchObject({ errors: 0, truncated: false });
  });

  // 2 s of one colour, then 2 of another, as Theora codes them: two pictures, and a last page that counts on.
  it('Ogg that holds a picture only where it changes', async () => {
    const colours = ['red', 'blue'].flatMap((one) => ['-f', 'lavfi', '-i', `color=${one}:s=64x48:r=25:d=2`]);
    const found = await measured(
      await make('still.ogv', ...colours, '-filter_complex', '[0][1]concat', '-c:v', 'libtheora', '-g', '64'),
    );
    expect(found.video?.frames).toBe(2);
    expect(found.video?.framesDeclared).toBeGreaterThan(50);
    expect(found.decode).toMatchObject({ errors: 0, truncated: false });
  });
});

it.each([
  ['625 lines', 's=720x576:r=25', 'yuv420p'],
  ['525 lines', 's=720x480:r=30000/1001', 'yuv411p'],
])(
  'raw DV of %s: whole it decodes, cut inside its last frame it is told to end early',
  async (lines, size, format) => {
    const name = `${lines.slice(0, 3)}.dv`;
    await make(
      name,
      '-f',
      'lavfi',
      '-i',
      `testsrc2=${size}`,
      '-frames:v',
      '2',
      '-pix_fmt',
      format,
      '-c:v',
      'dvvideo',
    );
    expect((await measured(name)).decode).toMatchObject({ errors: 0, truncated: false });
    const path = join(shop.folder, name);
    await truncate(path, (await readFile(path)).length - 1000);
    expect((await measured(name)).decode.truncated).toBe(true);
  },
);

it('the raster is that of the pictures, whatever the container says: no requirement is met by a header', async () => {
  const name = await make('header.mkv', '-f', 'lavfi', '-i', 'testsrc2=s=320x272:r=25:d=1', '-c:v', 'libvpx');
  const path = join(shop.folder, name);
  const bytes = await readFile(path);
  // Matroska PixelWidth (B0) and PixelHeight (BA), two bytes each (RFC 9559, clauses 5.1.4.1.28.6 and .7).
  const at = bytes.indexOf(Buffer.from('b0820140ba820110', 'hex'));
  expect(at).toBeGreaterThan(0);
  Buffer.from('b08200a0ba820088', 'hex').copy(bytes, at);
  await writeFile(path, bytes);
  expect((await measured(name)).video).toMatchObject({ width: 320, height: 272 });
  const target =
    'schema: goodgate/target@1\nname: small\ntitle: Small\nrequire:\n  raster: { width: 160, height: 136 }\n';
  await writeFile(join(shop.folder, 'small.yaml'), target);
  const { exitCode, stdout } = await shop.start(['check', name, '--target', 'small.yaml']);
  expect(stdout).toMatch(/320 x 272/);
  expect(exitCode).toBe(1);
});
