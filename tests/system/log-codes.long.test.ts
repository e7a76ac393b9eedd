import { copyFile, mkdir, readdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openWorkshop, type Workshop } from './goodgate.js';

/**
 * Codes of S-Log3 at 10 bits, one a frame. Its maker publishes 18 % grey at 420 and 90 % at 598 (Technical
 * Summary for S-Gamut3.Cine/S-Log3, table of code values); 1000 lies above the 940 of narrow white.
 */
const LEVELS = [420, 598, 1000];
/** A colour too, as Y', Cb and Cr. */
const COLOUR = { y: 500, cb: 600, cr: 450 };
/**
 * R'G'B' of it at the scale of the codes, 64 + 876 x R', by the matrix of BT.601-7, item 2.5.1: it is SD
 * without a tag.
 */
const RGB = (() => {
  const [y, pb, pr] = [(COLOUR.y - 64) / 876, (COLOUR.cb - 512) / 896, (COLOUR.cr - 512) / 896];
  const red = y + 1.402 * pr;
  const blue = y + 1.772 * pb;
  const green = (y - 0.299 * red - 0.114 * blue) / 0.587;
  return [red, green, blue].map((value) => 64 + 876 * value);
})();
const FRAMES = LEVELS.length + 1;

let shop: Workshop;
const at = (...parts: string[]): string => join(shop.folder, ...parts);

beforeAll(async () => {
  shop = await openWorkshop();
  await mkdir(at('card'));
  const step = (codes: readonly number[]): string =>
    codes.reduceRight(
      (rest, code, index) => (rest === '' ? String(code) : `if(eq(N\\,${index})\\,${code}\\,${rest})`),
      '',
    );
  const geq = `geq=lum=${step([...LEVELS, COLOUR.y])}:cb=${step([512, 512, 512, COLOUR.cb])}:cr=${step([512, 512, 512, COLOUR.cr])}`;
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', `color=gray:s=64x48:r=25,format=yuv422p10le,${geq}`],
    ...['-frames:v', String(FRAMES), '-color_range', 'tv', '-c:v', 'ffv1'],
    ...['-timecode', '10:00:00:00', at('card/A001.mov')],
  ]);
  await writeFile(at('list.csv'), 'file,transfer,primaries\ncard/A001.mov,S-Log3,S-Gamut3.Cine\n');
  await writeFile(
    at('as-tiff.yaml'),
    [
      'schema: goodgate/target@1\nname: as-tiff\ntitle: For effects',
      'make: { container: tiff, video: { codec: tiff, bitDepth: 16, chroma: "4:4:4", rgb: true } }',
      'require: { decode: { maxErrors: 0 }, precision: { minBits: 9 }, same-frames: {} }\n',
    ].join('\n'),
  );
});
afterAll(() => shop.close());

/** R', G' and B' of the middle of each frame at 10-bit scale, decoded by ffmpeg with nothing of goodgate. */
async function codesOf(path: string, largest: number): Promise<number[][]> {
  const pixelFormat = `gbrp${Math.round(Math.log2(largest))}le`;
  const files = path.endsWith('.mov') ? [path] : (await readdir(path)).sort().map((name) => join(path, name));
  const pieces: Buffer[] = [];
  for (const file of files) {
    // Without it `%` in a name stands for a number.
    const plain = path.endsWith('.mov') ? [] : ['-f', 'image2', '-pattern_type', 'none'];
    const args = ['-v', 'error', ...plain, '-i', file, '-pix_fmt', pixelFormat, '-f', 'rawvideo', '-'];
    const { stdout } = await execa('ffmpeg', args, { encoding: 'buffer' });
    pieces.push(Buffer.from(stdout));
  }
  const bytes = Buffer.concat(pieces);
  const plane = 64 * 48;
  return Array.from({ length: bytes.length / (6 * plane) }, (_, frame) => {
    const code = (index: number): number =>
      (bytes.readUInt16LE(2 * (plane * (3 * frame + index) + 24 * 64 + 32)) / largest) * 1023;
    // Planes lie in the order G, B, R.
    return [code(2), code(0), code(1)];
  });
}

describe('RGB of camera log of narrow range keeps its code scale', { timeout: 300_000 }, () => {
  const TARGETS = ['effects-dpx-10', 'as-tiff.yaml', 'intermediate-444-12-cineform'];

  it('so that the formula of the camera holds, and no loss of codes is named', async () => {
    const targets = TARGETS.flatMap((name) => ['--target', name]);
    const planned = await shop.start(['plan', 'list.csv', ...targets, '--out', 'out']);
    expect(planned.exitCode, planned.stderr).toBe(0);
    expect(planned.stdout.replace(/\s+/g, ' ')).not.toContain('stand for other light');
    const run = await shop.start(['run', 'list.csv', ...targets, '--out', 'out']);
    expect(run.stdout, run.stderr).not.toContain('FAIL');
    expect(run.stdout).not.toContain('Precision kept');
    const expected = [...LEVELS.map((code) => [code, code, code]), RGB];
    for (const [path, largest, most] of [
      ['out/effects-dpx-10/card/A001', 1023, 1],
      ['out/as-tiff/card/A001', 65535, 0.5],
      // Lossy: 9 codes of 12 bits at most, as the target says.
      ['out/intermediate-444-12-cineform/card/A001.mov', 4095, 2.5],
    ] as const) {
      const codes = await codesOf(at(path), largest);
      expect(codes.length, path).toBe(FRAMES);
      for (const [frame, channels] of codes.entries())
        for (const [channel, code] of channels.entries())
          expect(
            Math.abs(code - (expected[frame]?.[channel] ?? 0)),
            `${path} ${frame}: ${channels}`,
          ).toBeLessThan(most);
    }
  });

  it('a copy out of its batch is compared by the codes, and not accused where the curve is not known', async () => {
    await copyFile(at('out/intermediate-444-12-cineform/card/A001.mov'), at('copy.mov'));
    const said = await shop.start(['compare', 'card/A001.mov', 'copy.mov', '--colour', 'S-Log3']);
    expect(said.stdout).not.toContain('wrong range');
    expect(said.exitCode, said.stdout).toBe(0);
    const unsaid = await shop.start(['compare', 'card/A001.mov', 'copy.mov']);
    expect(unsaid.exitCode, unsaid.stdout).toBe(3);
    expect(unsaid.stdout.replace(/\s+/g, ' ')).toContain('right of camera log, wrong of anything else');
  });
});
