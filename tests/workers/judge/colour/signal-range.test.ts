import { expect, it } from 'vitest';
import { both, levels, none } from '../changes.js';
import { type Change, noLevels, note, noVideo } from '../measured.js';
import { describeRows, findingOf } from '../rows.js';

function gamutError(worstArea: number): Change {
  const framesOver = worstArea > 0.01 ? 1 : 0;
  return levels({ gamutError: { worstArea, worstFrame: 25, framesOver, ranges: [] } });
}

describeRows('signal-range', [
  ['nothing outside', {}, none, 'pass'],
  ['1 % exactly', {}, gamutError(0.01), 'pass'],
  ['a little more than 1 %', {}, gamutError(0.010_001), 'fail'],
  ['a limit of its own', { maxArea: 0.1 }, gamutError(0.099), 'pass'],
  ['no levels', {}, noLevels, 'unmeasured'],
  ['levels doubted', {}, note('levels'), 'unmeasured'],
  ['another figure doubted', {}, note('levels.looksFullRange'), 'pass'],
  ['no picture', {}, noVideo, 'fail'],
]);

it('says levels as code and as percent, with the frame and its timecode', () => {
  const finding = findingOf(
    'signal-range',
    {},
    both(gamutError(0.0234), levels({ rgb: { min: 4, max: 1019, percentMin: 0, percentMax: 0 } })),
  );
  // EBU R 103 v3.0 Table 1: 20 to 984 at 10 bits, -5.0 % and 105.0 %; 4 and 1019 are -6.8 % and 109.0 %
  // (calc).
  expect(finding.expected).toContain('20 (-5.0 %) to 984 (105.0 %) at 10 bits');
  expect(finding.measured).toContain('2.34 % outside, worst in frame 25');
  expect(finding.measured).toContain("R'G'B' 4 (-6.8 %) to 1019 (109.0 %)");
  expect(finding.at).toEqual([{ from: 25, to: 26, fromTimecode: '10:00:01:00', toTimecode: '10:00:01:01' }]);
});
