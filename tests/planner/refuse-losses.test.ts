import { describe, expect, it } from 'vitest';
import { manifest } from '../../jobs/manifest/manifest.js';
import { isAtLeast, severity, severityOf } from '../../jobs/plan/loss-severity.js';
import { builtInTargets } from '../../jobs/targets/load-target.js';
import { planBatch } from '../../planner/plan-batch.js';
import { CAPABILITIES, clipFacts } from './make-facts.js';

const targets = new Map((await builtInTargets()).map((each) => [each.name, each]));

/** Outputs that are made, and those that are refused, of a clip of so many bits 4:4:4. */
function planned(refuseLosses: (typeof severity.options)[number] | undefined, bitDepth = 12) {
  const facts = clipFacts({ bitDepth, chroma: '4:4:4', pixelFormat: `yuv444p${bitDepth}le` });
  const clips = [{ file: 'a.mov', facts, colour: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' } }];
  const plan = planBatch({
    manifest: manifest.parse({ schema: 'goodgate/manifest@1', title: 'x', root: '.', clips }),
    ...{ root: '/card', out: '/out', targets, capabilities: CAPABILITIES, version: '1', looks: new Map() },
    chosen: ['intermediate-422-10', 'intermediate-444-12', 'proxy-h264'],
    ...{ workers: 1, refuseLosses },
  });
  return {
    made: plan.jobs.flatMap(({ outputs }) => outputs.map(({ target }) => target)),
    refused: plan.refused.map(({ target, reason }) => [target, reason]),
  };
}

describe('outputs that would lose too much', () => {
  it('are refused where they keep the colour of the clip, with the loss; what is rendered is made', () => {
    expect(planned(undefined).refused).toEqual([]);
    expect(planned('grave').refused).toEqual([]);
    const { made, refused } = planned('marked');
    expect(made).toEqual(['intermediate-444-12', 'proxy-h264']);
    expect(refused).toEqual([
      [
        'intermediate-422-10',
        expect.stringMatching(/^it would lose depth \(marked\): 12 bits become 10.*, and 1 loss more$/),
      ],
    ]);
    expect(planned('slight').made).toContain('proxy-h264');
  });

  it('are told with the target without this loss, where one without loss was chosen', () => {
    expect(planned('marked', 16).refused).toEqual([
      [
        'intermediate-422-10',
        expect.stringMatching(/16 bits become 10: 64 values become one \(dithered\), /),
      ],
      ['intermediate-444-12', expect.stringMatching(/16 bits become 12: .*; archive-ffv1 keeps all 16$/)],
    ]);
    expect(planned('marked', 16).made).toEqual(['proxy-h264']);
    expect(targets.get('archive-ffv1')?.make?.video).toMatchObject({ bitDepth: 'source', lossless: true });
  });

  it('are told by severities that are in order, and by no other word than a marked one', () => {
    expect(severity.options.map((each) => isAtLeast('chroma', each))).toEqual([true, true, false]);
    expect(severity.options.map((each) => isAtLeast('alpha', each))).toEqual([true, true, true]);
    expect(severity.options.map((each) => isAtLeast('matrix', each))).toEqual([true, false, false]);
    expect([severityOf('a new loss'), severityOf('toString'), severityOf('__proto__')]).toEqual([
      ...['marked', 'marked', 'marked'],
    ]);
  });
});
