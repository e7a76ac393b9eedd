import { mkdir, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

let shop: Workshop;

/** A look that multiplies R'G'B' by `gain`: eight corners, red first, by the form of `.cube` tables. */
function cube(gain: number): string {
  const corners = Array.from({ length: 8 }, (_, at) => [at & 1, (at >> 1) & 1, (at >> 2) & 1]);
  return ['LUT_3D_SIZE 2', ...corners.map((rgb) => rgb.map((value) => value * gain).join(' '))].join('\n');
}

const manifest = (look: string): string =>
  [
    'schema: goodgate/manifest@1\ntitle: Night 1\nroot: A001',
    `defaults: { look: { file: ${look}, scale: narrow }, targets: [copy.yaml, graded.yaml] }`,
    'clips: [{ file: C001.mkv }]\n',
  ].join('\n');

beforeAll(async () => {
  shop = await openWorkshop();
  const write = (name: string, text: string) => writeFile(join(shop.folder, name), text);
  await mkdir(join(shop.folder, 'A001'));
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', 'color=gray:s=64x64:r=25:d=0.2', '-pix_fmt', 'yuv420p'],
    ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709', '-color_range', 'tv'],
    ...['-c:v', 'ffv1', join(shop.folder, 'A001', 'C001.mkv')],
  ]);
  await write('copy.yaml', copyTarget());
  const colour = '{ primaries: bt709, transfer: bt709, matrix: bt709, range: narrow }';
  await write('graded.yaml', copyTarget('graded', `, colour: ${colour}, look: true`));
  await write('one.cube', cube(1));
  await write('half.cube', cube(0.5));
  await write('a001.yaml', manifest('one.cube'));
});
afterAll(() => shop.close());

/** When each output was made: that of the copy, and that of the graded one. */
async function made(): Promise<number[]> {
  const paths = ['copy', 'graded'].map((name) => join(shop.folder, 'out', name, 'C001.mkv'));
  return Promise.all(paths.map(async (path) => (await stat(path)).mtimeMs));
}

/** The words of the plan without its line breaks. */
async function planned(): Promise<string> {
  const { stdout, exitCode, stderr } = await shop.start(['plan', 'a001.yaml', '--out', 'out']);
  expect(exitCode, stderr).toBe(0);
  return stdout.replace(/\s+/g, ' ');
}

const run = async (): Promise<void> => {
  const { exitCode, stderr } = await shop.start(['run', 'a001.yaml', '--out', 'out']);
  expect(exitCode, stderr).toBe(0);
};

it('another look makes its renderings again and nothing else, and the plan says so before', async () => {
  expect(await planned()).not.toContain('In the batch folder');
  await run();
  const first = await made();
  expect(await planned()).toContain('there already, from the same clip by the same recipe: 2 outputs');

  await writeFile(join(shop.folder, 'a001.yaml'), manifest('half.cube'));
  const other = await planned();
  expect(other).toContain('there already, from the same clip by the same recipe: 1 output');
  expect(other).toContain('to be made again, changed: look, graded: 1 output (C001.mkv)');
  await run();
  const second = await made();
  expect(second[0]).toBe(first[0]);
  expect(second[1]).toBeGreaterThan(first[1] ?? 0);

  // The same file, which says something else now.
  await writeFile(join(shop.folder, 'half.cube'), cube(0.75));
  expect(await planned()).toContain('changed: content of the look, graded: 1 output');
  await run();
  const third = await made();
  expect(third[0]).toBe(first[0]);
  expect(third[1]).toBeGreaterThan(second[1] ?? 0);
}, 300_000);
