import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { temporaryFolder } from '../../../media/known-clip.js';
import { expectSame, overwritten, whyWhole, writeProgramme } from './parts-and-whole.js';
import { PROGRAMME_FRAMES } from './programme.js';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());
const path = (name: string): string => join(folder.path, name);

it('a file measured in parts is the file measured in one go: PQ with bars, black, a still, flashes and cuts across the seams, and sound', async () => {
  const file = await writeProgramme(path('pq.mov'), { rate: '10', transfer: 'smpte2084' });
  const whole = await expectSame(file, [18, 29, 36, 55]);
  // That there is something to lose.
  expect(whole.luminance?.maxFall).toBeGreaterThan(0);
  expect(whole.video?.frames).toBe(PROGRAMME_FRAMES);
  expect(whole.audio[0]?.integratedLufs).not.toBeNull();
  expect(whole.events.map(({ kind }) => kind)).toEqual(
    expect.arrayContaining(['black', 'duplicate', 'flash']),
  );
});

it('there are no parts where there is damage, in the first part and in the last', async () => {
  const file = await writeProgramme(path('intact.mkv'), { sound: false });
  for (const from of [0.3, 0.7]) {
    expect(await whyWhole(await overwritten(file, path('hurt.mkv'), from, 400)), String(from)).toMatch(
      /ffmpeg|first frame/,
    );
  }
});
