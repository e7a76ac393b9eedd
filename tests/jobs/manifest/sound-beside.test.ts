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

it('a clip is beside sound that began before midnight, or after it, as it is when that is laid', () => {
  // 23:59:58:00 to 00:00:02:00 of the next day.
  const clips = [picture('late.mov', '23:59:58:00'), picture('early.mov', '00:00:00:00')];
  const beside = (second: number) => soundBeside([...clips, sound('s.wav', second)])[0]?.beside;
  expect(beside(1)).toEqual(['late.mov', 'early.mov']);
  expect(beside(86_399)).toEqual(['late.mov', 'early.mov']);
  expect(beside(2)).toEqual(['early.mov']);
  expect(beside(86_395)).toEqual(['late.mov']);
});

it('a clip is not beside sound of another day, where both say when they were recorded', () => {
  const dated = (clip: ManifestClip, tags: Record<string, string>): ManifestClip => {
    const { facts = clipFacts(null) } = clip;
    return { ...clip, facts: { ...facts, container: { ...facts.container, tags } } };
  };
  const clip = dated(picture('a.mov', '10:00:00:00'), { creation_time: '2026-03-10T22:30:00.000000Z' });
  const beside = (date: string) =>
    soundBeside([clip, dated(sound('s.wav', 36_000), { date, creation_time: '10:00:00' })])[0]?.beside;
  expect(beside('2026-03-10')).toEqual(['a.mov']);
  // The clip's clock is UTC: on the recorder it may have been the next day.
  expect(beside('2026:03:11')).toEqual(['a.mov']);
  expect(beside('2026-03-12')).toEqual([]);
  expect(beside('2026-02-10')).toEqual([]);
  // No dates: those of clocks that were never set, or no days.
  expect(beside('1970-01-01')).toEqual(['a.mov']);
  expect(beside('2026-02-30')).toEqual(['a.mov']);
});

it('what a manifest says of scene and take goes before the file, also in a list', () => {
  const clip = { ...sound('s.wav', 1), take: '4', startTimecode: '00:00:01:00' };
  expect(soundBeside([clip])[0]?.words).toBe('scene 12A, take 4, 00:00:01:00');
  const text = formatCsv({ clips: [clip], root: '/a', title: 't' });
  expect(text).toContain('file,scene,take,startTimecode,root,title\r\ns.wav,12A,4,00:00:01:00,/a,t');
});
