import { describe, expect, it } from 'vitest';
import type { LayeredTarget } from '../../../jobs/targets/load-target.js';
import { target } from '../../../jobs/targets/target.js';
import { originOf, removalsOf } from '../../../jobs/targets/target-origins.js';

/** A house target over a network's over the base, as the chain is read: own first. */
const LAYERS = [
  {
    name: 'house',
    data: {
      require: { loudness: { target: -24 }, scan: null, raster: { width: 1280 } },
      make: { raster: { width: 1280, height: 720 } },
    },
  },
  { name: 'network', data: { require: { loudness: { tolerance: 1 }, chroma: null } } },
  {
    name: 'base',
    data: {
      require: {
        loudness: { target: -23, tolerance: 0.2, source: 'EBU R 128' },
        scan: { is: ['progressive'] },
        chroma: { declared: ['4:2:2'] },
        raster: { width: 1920, height: 1080 },
      },
      make: { container: 'mov', raster: { width: 1920, height: 1080, fit: 'crop' } },
    },
  },
];
const LAYERED: LayeredTarget = {
  layers: LAYERS,
  target: target.parse({
    schema: 'goodgate/target@1',
    name: 'house',
    title: 'House',
    extends: 'network',
    require: {
      loudness: { target: -24, tolerance: 1, source: 'set by target house' },
      raster: { width: 1280, height: 1080 },
    },
    make: {
      container: 'mov',
      video: { codec: 'prores', bitDepth: 10, chroma: '4:2:2' },
      raster: { width: 1280, height: 720 },
    },
  }),
};

describe('originOf', () => {
  it.each([
    ['what the target says itself, and what it replaced', 'require.loudness.target', 'house', -23, 'base'],
    ['what the target between says', 'require.loudness.tolerance', 'network', 0.2, 'base'],
    ['what only the base says', 'require.raster.height', 'base', null, null],
    ['a default', 'require.loudness.severity', null, null, null],
    ['a source that fell away with a changed limit', 'require.loudness.source', 'house', null, null],
    ['a default in a raster that was replaced as one', 'make.raster.fit', null, null, null],
    ['a value of a raster that was replaced as one', 'make.raster.width', 'house', 1920, 'base'],
  ])('%s', (_, path, from, value, insteadFrom) => {
    expect(originOf(LAYERED, path.split('.'))).toEqual({
      from,
      instead: insteadFrom === null ? null : { value, from: insteadFrom },
    });
  });
});

describe('removalsOf', () => {
  it('names what was taken away, and by whom', () => {
    expect(removalsOf(LAYERED)).toEqual([
      { path: ['require', 'scan'], by: 'house' },
      { path: ['require', 'chroma'], by: 'network' },
    ]);
  });
  it('does not name what a target above brought back', () => {
    const above = { name: 'top', data: { require: { raster: { width: 1280 } } } };
    const between = { name: 'mid', data: { require: { raster: null } } };
    const found = removalsOf({ ...LAYERED, layers: [above, between, ...LAYERS] });
    expect(found.map(({ path }) => path.join('.'))).not.toContain('require.raster');
  });
});
