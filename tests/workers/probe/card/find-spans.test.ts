import { describe, expect, it } from 'vitest';
import type { ClipFacts } from '../../../../jobs/manifest/facts.js';
import { findSpans } from '../../../../workers/probe/card/find-spans.js';
import { clipFacts } from '../../../planner/make-facts.js';

const PCM = { ...clipFacts().audio[0], codec: 'pcm_s24le', durationSeconds: 4 };
/** 100 frames at 25 a second from this second of 10 o'clock on, as large as FAT32 allows but for 1 %. */
function part(file: string, second: number, changes: Partial<ClipFacts> = {}) {
  const startTimecode = `10:00:${String(second).padStart(2, '0')}:00`;
  const whole = clipFacts(
    {},
    { bytes: 0.99 * 2 ** 32, audio: [PCM as ClipFacts['audio'][number]], ...changes },
  );
  return { file, facts: { ...whole, container: { ...whole.container, startTimecode } } };
}
const small = { bytes: 1_000_000 };

function found(clips: Parameters<typeof findSpans>[0]) {
  const spans = findSpans(clips);
  return {
    clips: spans.clips.map(({ file, parts = [] }) => [file, ...parts].join(' + ')),
    doubtful: spans.doubtful.map(({ files, why }) => `${files.join(' + ')}: ${why.slice(0, 28)}`),
  };
}

describe('parts of one take', () => {
  it.each([
    [
      'cut at 4 GB',
      [part('A_1.mov', 0), part('A_2.mov', 4), part('A_3.mov', 8, small)],
      ['A_1.mov + A_2.mov + A_3.mov'],
      [],
    ],
    [
      'chapters, their number in the middle',
      [part('X010012.mp4', 0), part('X020012.mp4', 4, small)],
      ['X010012.mp4 + X020012.mp4'],
      [],
    ],
    ['from 9 to 10', [part('A_9.mov', 0), part('A_10.mov', 4, small)], ['A_9.mov + A_10.mov'], []],
    [
      'takes of a timecode that runs while recording',
      [part('C001.mov', 0, small), part('C002.mov', 4, small)],
      ['C001.mov', 'C002.mov'],
      ['C001.mov + C002.mov: a camera whose timecode runs'],
    ],
    ['a frame between them', [part('A_1.mov', 0), part('A_2.mov', 5)], ['A_1.mov', 'A_2.mov'], []],
    [
      'another format',
      [part('A_1.mov', 0), part('A_2.mov', 4, clipFacts({ width: 1280 }))],
      ['A_1.mov', 'A_2.mov'],
      [],
    ],
    ['a number missing', [part('A_1.mov', 0), part('A_3.mov', 4)], ['A_1.mov', 'A_3.mov'], []],
    [
      'two slots',
      [part('x/A_1.mov', 0), part('y/A_2.mov', 4), part('x/A_3.mov', 8, small)],
      ['x/A_1.mov', 'y/A_2.mov', 'x/A_3.mov'],
      ['x/A_1.mov + y/A_2.mov + x/A_3.mov: they lie in different folder'],
    ],
    [
      'two slots, and two cameras of one timecode in other folders',
      [part('x/A_1.mov', 0), part('y/A_2.mov', 4), part('z/A_2.mov', 4)],
      ['x/A_1.mov', 'y/A_2.mov', 'z/A_2.mov'],
      [],
    ],
    [
      'another folder after a file that was not cut by size',
      [part('x/A_1.mov', 0, small), part('y/A_2.mov', 4)],
      ['x/A_1.mov', 'y/A_2.mov'],
      [],
    ],
    [
      'the next part beside it goes before one elsewhere',
      [part('x/A_1.mov', 0), part('x/A_2.mov', 4, small), part('y/A_2.mov', 4, small)],
      ['x/A_1.mov + x/A_2.mov', 'y/A_2.mov'],
      [],
    ],
    [
      'sound that is coded in packets',
      [
        part('A_1.mov', 0, { audio: [{ ...PCM, codec: 'aac' } as ClipFacts['audio'][number]] }),
        part('A_2.mov', 4, { audio: [{ ...PCM, codec: 'aac' } as ClipFacts['audio'][number]] }),
      ],
      ['A_1.mov', 'A_2.mov'],
      ['A_1.mov + A_2.mov: their sound is coded in pack'],
    ],
  ])('%s', (_, clips, expected, doubtful) => {
    expect(found(clips)).toEqual({ clips: expected, doubtful });
  });

  it('are as long and as large as all of them', () => {
    const [take] = findSpans([part('A_1.mov', 0), part('A_2.mov', 4, small)]).clips;
    expect(take?.facts).toMatchObject({
      bytes: 0.99 * 2 ** 32 + 1_000_000,
      container: { startTimecode: '10:00:00:00', durationSeconds: 8 },
      video: { frames: 200, durationSeconds: 8 },
      audio: [{ durationSeconds: 8 }],
    });
  });
});
