import { describe, expect, it } from 'vitest';
import { resolveColour } from '../../planner/clip-colour.js';
import { videoFacts } from './make-facts.js';

const UNTAGGED = { primaries: null, transfer: null, matrix: null, range: null };

describe('resolveColour', () => {
  it('believes complete tags', () => {
    const { colour, assumed } = resolveColour(
      videoFacts({
        colour: { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' },
      }),
      undefined,
    );
    expect(colour).toEqual({
      primaries: 'bt2020',
      transfer: 'smpte2084',
      matrix: 'bt2020nc',
      range: 'narrow',
    });
    expect(assumed).toEqual([]);
  });

  it('lets the manifest overrule a tag', () => {
    const { colour, assumed } = resolveColour(videoFacts(), { transfer: 'S-Log3', primaries: 'S-Gamut3' });
    expect(colour).toEqual({ primaries: 'S-Gamut3', transfer: 'S-Log3', matrix: 'bt709', range: 'narrow' });
    expect(assumed).toEqual([]);
  });

  it('gives a camera curve its own gamut, not the tag a camera writes beside it, and says so', () => {
    const { colour, assumed } = resolveColour(videoFacts(), { transfer: 'V-Log' });
    expect(colour.primaries).toBe('V-Gamut');
    expect(assumed).toHaveLength(1);
  });

  it.each([
    ['HD', 1920, 1080, 'bt709', 'bt709'],
    ['625 lines', 720, 576, 'bt470bg', 'bt470bg'],
    ['525 lines', 720, 486, 'smpte170m', 'smpte170m'],
  ])('assumes by size for an untagged %s picture, and says so', (_what, width, height, primaries, matrix) => {
    const { colour, assumed } = resolveColour(videoFacts({ width, height, colour: UNTAGGED }), undefined);
    expect(colour).toEqual({ primaries, transfer: 'bt709', matrix, range: 'narrow' });
    expect(assumed).toHaveLength(4);
  });

  it('knows RGB by its samples, whatever the matrix tag says', () => {
    const { colour } = resolveColour(videoFacts({ pixelFormat: 'gbrp12le', chroma: '4:4:4' }), undefined);
    expect(colour.matrix).toBe('gbr');
  });
});
