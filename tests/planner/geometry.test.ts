import { describe, expect, it } from 'vitest';
import { planRaster } from '../../planner/geometry.js';
import { rational } from '../../signal/rational.js';

const SQUARE = rational(1);

describe('planRaster', () => {
  it.each([
    // source, aspect, wanted, chroma -> size, fit, scaled, aspect out
    ['keeps a raster', [1920, 1080], SQUARE, 'source', '4:2:2', [1920, 1080], 'exact', [1920, 1080], '1/1'],
    [
      'repeats an odd edge for 4:2:0',
      [1919, 1079],
      SQUARE,
      'source',
      '4:2:0',
      [1920, 1080],
      'repeat',
      [1919, 1079],
      '1/1',
    ],
    [
      'leaves odd lines to 4:2:2',
      [1920, 1079],
      SQUARE,
      'source',
      '4:2:2',
      [1920, 1079],
      'exact',
      [1920, 1079],
      '1/1',
    ],
    [
      'leaves odd sizes to 4:4:4',
      [641, 359],
      SQUARE,
      'source',
      '4:4:4',
      [641, 359],
      'exact',
      [641, 359],
      '1/1',
    ],
    [
      'keeps a pixel aspect',
      [1440, 1080],
      rational(4, 3),
      'source',
      '4:2:0',
      [1440, 1080],
      'exact',
      [1440, 1080],
      '4/3',
    ],
    [
      'fits UHD into HD',
      [3840, 2160],
      SQUARE,
      { maxWidth: 1920, maxHeight: 1080 },
      '4:2:0',
      [1920, 1080],
      'exact',
      [1920, 1080],
      '1/1',
    ],
    [
      'never enlarges',
      [640, 360],
      SQUARE,
      { maxWidth: 1920, maxHeight: 1080 },
      '4:2:0',
      [640, 360],
      'exact',
      [640, 360],
      '1/1',
    ],
    // 4096 x 1716 by 1920/4096: 804.375, and 4:2:0 wants an even height: 804
    [
      'keeps a wide picture wide',
      [4096, 1716],
      SQUARE,
      { maxWidth: 1920, maxHeight: 1080 },
      '4:2:0',
      [1920, 804],
      'exact',
      [1920, 804],
      '1/1',
    ],
    [
      'makes pixels square',
      [1440, 1080],
      rational(4, 3),
      { maxWidth: 1920, maxHeight: 1080 },
      '4:2:0',
      [1920, 1080],
      'exact',
      [1920, 1080],
      '1/1',
    ],
    // 1080 x 1920 by 1080/1920: 607.5, to the even grid: 608
    [
      'stands a tall picture up',
      [1080, 1920],
      SQUARE,
      { maxWidth: 1920, maxHeight: 1080 },
      '4:2:0',
      [608, 1080],
      'exact',
      [608, 1080],
      '1/1',
    ],
    // 2.39:1 in 16:9: 1920 / (4096/1716) = 804.375 -> 804
    [
      'letterboxes',
      [4096, 1716],
      SQUARE,
      { width: 1920, height: 1080, fit: 'pad' },
      '4:2:0',
      [1920, 1080],
      'pad',
      [1920, 804],
      '1/1',
    ],
    // filled: 1080 / 1716 * 4096 = 2577.9 -> 2578
    [
      'crops',
      [4096, 1716],
      SQUARE,
      { width: 1920, height: 1080, fit: 'crop' },
      '4:2:0',
      [1920, 1080],
      'crop',
      [2578, 1080],
      '1/1',
    ],
  ] as const)('%s', (_what, [width, height], sampleAspect, wanted, chroma, size, fit, scaled, aspectOut) => {
    const planned = planRaster({ width, height, sampleAspect }, wanted, chroma, false);
    expect(planned).toEqual({
      raster: { width: size[0], height: size[1], fit, scaledWidth: scaled[0], scaledHeight: scaled[1] },
      sampleAspect: aspectOut,
    });
  });

  it.each(['4:1:1', '4:2:0', '4:2:2', '4:4:4'] as const)(
    'keeps an odd %s raster where the codec holds it',
    (chroma) => {
      const planned = planRaster({ width: 1919, height: 1079, sampleAspect: SQUARE }, 'source', chroma, true);
      expect(planned.raster).toEqual({
        width: 1919,
        height: 1079,
        fit: 'exact',
        scaledWidth: 1919,
        scaledHeight: 1079,
      });
    },
  );
});
