import { mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FRAME_TABLE } from '../../workers/measure/figures/frame-table.js';
import { flat, writeKnownClip } from '../media/known-clip.js';
import { openWorkshop, type Workshop } from './goodgate.js';

const PIXELS = 64 * 36;
const grey = (code: number): number[][] => [flat(code, PIXELS), flat(512, PIXELS / 2), flat(512, PIXELS / 2)];

let workshop: Workshop;
beforeAll(async () => {
  workshop = await openWorkshop();
});
afterAll(() => workshop.close());

describe('measure --frames', () => {
  it('writes a line for every frame, with its own figures', async () => {
    await writeKnownClip(join(workshop.folder, 'three.mkv'), {
      width: 64,
      height: 36,
      pixelFormat: 'yuv422p10le',
      colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' },
      frames: [grey(64), grey(502), grey(940)],
    });
    await mkdir(join(workshop.folder, 'out'));
    const { exitCode, stdout, stderr } = await workshop.start([
      'measure',
      'three.mkv',
      '--json',
      '--frames',
      'out/a "quoted", name.csv',
    ]);
    expect(exitCode).toBe(0);
    expect(JSON.parse(String(stdout))).toMatchObject({ schema: 'goodgate/measurement@1' });
    expect(stderr).toContain('frames: ');
    const text = await readFile(join(workshop.folder, 'out/a "quoted", name.csv'), 'utf8');
    const rows: Record<string, string>[] = parse(text, { columns: true });
    expect(Object.keys(rows[0] ?? {})).toEqual(FRAME_TABLE.map(({ name }) => name));
    const column = (name: string): string[] => rows.map((row) => row[name] ?? '?');
    expect(column('frame')).toEqual(['0', '1', '2']);
    expect(column('seconds')).toEqual(['0', '0.04', '0.08']);
    expect(column('luma_min')).toEqual(['64', '502', '940']);
    expect(column('luma_max')).toEqual(['64', '502', '940']);
    // Code 502 is half way from 64 to 940: signal 0.5, and each frame is that much from the one before.
    expect(column('mean')).toEqual(['0', '0.5', '1']);
    expect(column('change_mean')).toEqual(['', '0.5', '0.5']);
    expect(column('r103_area')).toEqual(['0', '0', '0']);
    expect(column('light_max')).toEqual(['', '', '']);
  });
});
