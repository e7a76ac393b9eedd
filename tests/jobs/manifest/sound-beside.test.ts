import { expect, it } from 'vitest';
import { formatCsv } from '../../../jobs/manifest/csv-manifest.js';
import type { ManifestClip } from '../../../jobs/manifest/manifest.js';
import { soundBeside } from '../../../jobs/manifest/sound-beside.js';
import { clipFacts } from '../../planner/make-facts.js';

const slate = { scene: '12A', take: '3', note: null };

function picture(file: string, startTimecode: string | null, frameRate = '25/1'): ManifestClip {
  const facts = clipFacts({ frameRate, frames: 100 });
  return { file, facts: { ...facts, container: { ...facts.container, startTimecode } } };
}

/** Four seconds of sound from this second of the day on. */
function sound(file: string, second: number | null): ManifestClip {
  const facts = clipFacts(null);
  const timeReference =
    second === null ? {} : { timeReference: { samples: second * 48_000, sampleRate: 48_000 } };
  const container = { ...facts.container, slate, startTimecode: null, ...timeReference };
  return { file, facts: { ...facts, container } };
}

it('sound recorded apart is told with scene and take, beside the clips it overlaps by a part of a frame', () => {
  const clips = [
    // 10:00:00:00 to 10:00:04:00, and the next four seconds.
    picture('a.mov', '10:00:00:00'),
    picture('b.mov', '10:00:04:00'),
    picture('none.mov', null),
    // An hour of labels at 30000/1001 takes 3603.6 s: this begins at 36,036 s of the day.
    picture('slow.mov', '10:00:00:00', '30000/1001'),
  ];
  const files = (second: number) => soundBeside([...clips, sound('s.wav', second)])[0]?.beside;
  expect(files(36_000)).toEqual(['a.mov']);
  expect(files(36_003)).toEqual(['a.mov', 'b.mov']);
  expect(files(36_008)).toEqual([]);
  expect(files(36_033)).toEqual(['slow.mov']);
  expect(soundBeside([...clips, sound('s.wav', null)])).toEqual([
    { file: 's.wav', words: 'scene 12A, take 3', beside: [] },
  ]);
});

it('what a manifest says of scene and take goes before the file, also in a list', () => {
  const clip = { ...sound('s.wav', 1), take: '4', startTimecode: '00:00:01:00' };
  expect(soundBeside([clip])[0]?.words).toBe('scene 12A, take 4, 00:00:01:00');
  const text = formatCsv({ clips: [clip], root: '/a', title: 't' });
  expect(text).toContain('file,scene,take,startTimecode,root,title\r\ns.wav,12A,4,00:00:01:00,/a,t');
});
