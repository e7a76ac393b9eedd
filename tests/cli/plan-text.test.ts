import { describe, expect, it } from 'vitest';
import { planText } from '../../cli/plan-text.js';
import { manifest } from '../../jobs/manifest/manifest.js';
import type { Plan } from '../../jobs/plan/plan.js';
import { builtInTargets } from '../../jobs/targets/load-target.js';
import { planBatch } from '../../planner/plan-batch.js';
import { CAPABILITIES, clipFacts } from '../planner/make-facts.js';

const targets = new Map((await builtInTargets()).map((each) => [each.name, each]));

function plan(clips: object[], chosen: string[], defaults?: object): Plan {
  const document = { schema: 'goodgate/manifest@1', title: 'Night', root: '.', defaults, clips };
  return planBatch({
    ...{ manifest: manifest.parse(document), root: '/card', out: '/work/out', targets, chosen },
    ...{ capabilities: CAPABILITIES, version: '1', looks: new Map(), workers: 2 },
  });
}

const text = (planned: Plan, all = false, unreadable: { file: string; reason: string }[] = []) =>
  planText(planned, unreadable, { all });
const mono = (stream: number) => ({ ...clipFacts().audio[0], stream, channels: 1, layout: 'mono' });
const many = (count: number, facts: object) =>
  Array.from({ length: count }, (_, i) => ({ file: `A001C${String(i + 1).padStart(3, '0')}.mov`, facts }));

describe('a plan on a terminal', () => {
  const log = { colour: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' } };

  it('of 200 clips of one kind is a page: how many, from what, to what, all sizes, each loss once', () => {
    const planned = plan(many(200, clipFacts()), ['intermediate-422-10', 'proxy-h264'], log);
    const lines = text(planned).split('\n');
    expect(lines.length).toBeLessThan(40);
    expect(lines).toContain('200 clips: A001C001.mov, A001C002.mov, A001C003.mov and 197 more');
    const told = lines.join('\n').replace(/\s+/g, ' ');
    expect(told).toContain(
      'from 1920x1080, 25 frames a second, progressive, 10-bit 4:2:2, S-Log3/S-Gamut3.Cine, 1 sound track',
    );
    const each = planned.jobs[0]?.outputs[0]?.estimate.bytes ?? 0;
    expect(told).toContain(`about ${((each * 200) / 1e9).toPrecision(3)} GB in all`);
    expect(told.match(/loses rendering/g)).toHaveLength(1);
    expect(text(planned, true).match(/^A001C\d+\.mov$/gm)).toHaveLength(200);
  });

  it('keeps every line within 80 columns, and tells what cannot be done first, equal reasons together', () => {
    const clips = [
      ...many(3, clipFacts(null)).map((clip) => ({ ...clip, targets: ['proxy-h264'] })),
      { file: 'good.mov', facts: clipFacts() },
      { file: `${'long-'.repeat(30)}.mov`, facts: clipFacts({ frameRate: '24/1' }) },
    ];
    const planned = plan(clips, ['proxy-h264'], log);
    const told = text(planned, false, [{ file: 'half.mov', reason: 'its index is missing' }]);
    // A path is never broken: it is there to be copied.
    const lines = told.split('\n').filter((line) => !line.trim().startsWith('proxy-h264/'));
    for (const line of lines) expect(line.length, line).toBeLessThanOrEqual(80);
    expect(told.split('\n').slice(0, 2)).toEqual([
      'Cannot be done',
      '  half.mov: unreadable: its index is missing',
    ]);
    expect(told.match(/the file has no picture/g)).toHaveLength(1);
    expect(told.replace(/\s+/g, ' ')).toContain(
      '3 clips (A001C001.mov, A001C002.mov, A001C003.mov): the file',
    );
    expect(told.indexOf('no picture')).toBeLessThan(told.indexOf('good.mov'));
  });

  it('names fields, and that a picture is turned, and tracks that are left out; mono loses nothing', () => {
    const clips = [
      { file: 'fields.mov', facts: clipFacts({ scan: 'interlaced-tff' }) },
      { file: 'phone.mov', facts: clipFacts({ rotation: 90 }) },
      { file: 'four.mov', facts: clipFacts({}, { audio: [mono(1), mono(2), mono(3), mono(4)] as never }) },
      { file: 'mono.mov', facts: clipFacts({}, { audio: [mono(1)] as never }) },
    ];
    const of = (file: string) =>
      text(
        plan(
          clips.filter((clip) => clip.file === file),
          ['proxy-h264'],
        ),
      ).replace(/\s+/g, ' ');
    expect(of('fields.mov')).toMatch(/from .*interlaced, top field first, .*make .*progressive/);
    expect(of('phone.mov')).toMatch(/to be shown turned by 90 degrees.*make .*turned upright by 90 degrees/);
    expect(of('four.mov')).toContain('sound tracks 3, 4 are left out');
    expect(of('mono.mov')).not.toMatch(/folded|mixed|left out/);
  });

  it('tells one reason of several targets once', () => {
    const still = {
      ...clipFacts({ frameRate: null }),
      sequence: { first: 1, last: 9, files: 9, faults: [] },
    };
    const told = text(
      plan([{ file: 'a.#.dpx', facts: still }], ['intermediate-422-10', 'proxy-h264'], log),
    ).replace(/\s+/g, ' ');
    expect(told).toContain(
      'a.#.dpx: for intermediate-422-10, proxy-h264: the clip declares no frame rate next: set frameRate of the clip',
    );
    expect(told.match(/declares no frame rate/g)).toHaveLength(1);
  });

  it('names clips that are skipped, and by what', () => {
    const skipped = [...many(5, clipFacts()).map((clip) => ({ ...clip, skip: true }))];
    const planned = plan([...skipped, { file: 'made.mov', facts: clipFacts() }], ['proxy-h264']);
    const told = text(planned).replace(/\s+/g, ' ');
    expect(told).toContain(
      'Skipped 5 clips (A001C001.mov, A001C002.mov, A001C003.mov and 2 more): by the manifest (skip: true)',
    );
    expect(text(planned, true)).toContain('A001C005.mov');
    expect(told).toContain('1 clip, 1 output;');
  });

  it('reckons with the start of programs: a clip of one frame takes seconds too', () => {
    const short = plan(many(1, clipFacts({ frames: 1 })), ['proxy-h264']);
    const long = plan(many(1, clipFacts({ frames: 25_000 })), ['proxy-h264']);
    const [brief = 0, most = 0] = [short, long].map(({ totals }) => totals.workSeconds);
    expect(brief).toBeGreaterThan(2);
    expect(most).toBeGreaterThan(20 * brief);
  });

  it('tells a note on many clips once', () => {
    const planned = plan(many(5, clipFacts({ scan: null })), ['proxy-h264']);
    const told = text(planned).replace(/\s+/g, ' ');
    expect(told.match(/assumed progressive/g)).toHaveLength(1);
    expect(told).toContain(
      '5 clips (A001C001.mov, A001C002.mov, A001C003.mov and 2 more): the file does not declare',
    );
  });
});
