import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { serialize } from 'node:v8';
import { afterAll, describe, expect, it } from 'vitest';
import type { Colour } from '../../../../jobs/manifest/colour.js';
import { divideFile, isUndivided } from '../../../../workers/measure/parts/divide.js';
import { firstStamp } from '../../../../workers/measure/parts/first-stamp.js';
import { measurePart } from '../../../../workers/measure/parts/measure-here.js';
import type { MeasuredPart } from '../../../../workers/measure/parts/part-doubt.js';
import { readPart, writePart } from '../../../../workers/measure/parts/part-file.js';
import { probeClip } from '../../../../workers/probe/probe-clip.js';
import { temporaryFolder, writeKnownClip } from '../../../media/known-clip.js';
import { PROGRAMME_FRAMES, programmeFrame } from './programme.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);
const signal = new AbortController().signal;

/** The second of two parts of the programme, read as of this colour. */
async function secondPart(colour: Colour): Promise<MeasuredPart> {
  await writeKnownClip(path('programme.mov'), {
    ...{ width: 64, height: 36, pixelFormat: 'yuv422p10le', rate: '5' },
    frames: Array.from({ length: PROGRAMME_FRAMES }, (_, frame) => programmeFrame(frame, 64, 36)),
    colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' },
    encode: ['-c:v', 'ffv1', '-level', '3', '-g', '1'],
  });
  const facts = await probeClip(path('programme.mov'), {});
  const division = divideFile(facts, colour, { here: 2, elsewhere: 0, leastFrames: 1 });
  if (isUndivided(division)) throw new Error(division.reason);
  const { video, rate, ranges } = division;
  const origin = await firstStamp(video, { path: path('programme.mov'), signal });
  const [, range] = ranges;
  if (origin === null || range === undefined) throw new Error('no part to measure');
  const numbering = { origin, rate };
  return measurePart(
    { path: path('programme.mov'), video, colour, range, isLast: true, numbering, signal },
    () => undefined,
  );
}

/** All of a part that can be held against another. */
const contentOf = ({ shown, frameLog, ...part }: MeasuredPart) => ({
  ...part,
  shown: { ...shown.record, ticks: [...shown.record.ticks] },
  frameLog: { ...frameLog.record, ticks: [...frameLog.record.ticks] },
});

describe('what was measured of a part, on its way to another worker', () => {
  it.each([
    ['PQ', { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' }, 'light'],
    [
      'camera log',
      { primaries: 'S-Gamut3.Cine', transfer: 'S-Log3', matrix: 'bt709', range: 'narrow' },
      'brightest',
    ],
  ] as const)('loses no bit: %s', async (_, colour, counted) => {
    const part = await secondPart(colour);
    // That there is something to lose.
    expect(part.answer.totals[counted]?.some((count) => count > 0)).toBe(true);
    expect(part.shown.frames).toBeGreaterThan(part.frameLog.frames);
    await writePart(path('part'), 'asked', part);
    expect(contentOf(await readPart(path('part'), 'asked'))).toEqual(contentOf(part));
  });

  it('is not read when it is cut short, something else, or not there', async () => {
    const whole = await readFile(path('part'));
    await writeFile(path('short'), whole.subarray(0, whole.length / 2));
    await writeFile(path('other'), serialize({ range: { from: 0, to: 1, lead: 0 } }));
    await writeFile(path('words'), 'not measured');
    for (const name of ['short', 'other', 'words', 'nowhere']) {
      await expect(readPart(path(name), 'asked'), name).rejects.toThrow();
    }
    await expect(readPart(path('part'), 'something else')).rejects.toThrow('answers something else');
  });
});
