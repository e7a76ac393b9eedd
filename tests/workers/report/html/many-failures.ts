import { HOT, PASS, type Sample } from './html-batch.js';

/** A batch at its worst: so many files, each with ten failures of sixty places or so and thirty met. */
export function manyFailures(files: number): Sample[] {
  const at = Array.from({ length: 20 }, () => HOT.at).flat();
  return Array.from({ length: files }, (_, index) => ({
    clip: `card/${index}.mov`,
    path: `proxy-h264/card/${index}.mp4`,
    word: 'fail',
    findings: [
      ...Array.from({ length: 10 }, (_, n) => ({
        ...HOT,
        requirement: n === 9 ? 'flashes' : HOT.requirement,
        measured: `${index}.${n} % in frame 17`,
        at,
      })),
      ...Array.from({ length: 30 }, () => PASS),
    ],
  }));
}
