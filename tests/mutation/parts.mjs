/**
 * What is mutated, and which tests have to notice: those that hold the part directly. Tests that start ffmpeg
 * are left out where others hold the same, since a mutant is run against every test that reaches it.
 * `without`: tests, by their title, that go through so much that they would take the night.
 */
export const PARTS = {
  'signal/colour': {
    mutate: [
      'signal/named.ts',
      'signal/gamut/**/*.ts',
      'signal/adaptation.ts',
      'signal/matrix3.ts',
      'signal/ycbcr.ts',
      'signal/quantise.ts',
      'signal/r103.ts',
    ],
    tests: [
      'tests/signal/named.test.ts',
      'tests/signal/adaptation.test.ts',
      'tests/signal/matrix3.test.ts',
      'tests/standards/{gamut,ycbcr,quantise,display-colour,code-points,camera-log}.test.ts',
      'tests/jobs/manifest/colour-words.test.ts',
    ],
  },
  'signal/transfer': {
    mutate: ['signal/transfer/**/*.ts'],
    tests: [
      'tests/signal/transfer/*.test.ts',
      'tests/standards/{transfer,camera-log,hlg-display}.test.ts',
      'tests/jobs/manifest/colour-words.test.ts',
    ],
  },
  'signal/levels': {
    mutate: ['signal/levels/*.ts'],
    tests: ['tests/standards/levels.test.ts', 'tests/cli/levels-lut-pattern.test.ts'],
  },
  'signal/rendering': {
    mutate: ['signal/rendering/*.ts', 'signal/peak-limit.ts'],
    tests: [
      'tests/signal/rendering/*.test.ts',
      'tests/standards/{rendering,levels,display-colour,hlg-display}.test.ts',
      'tests/workers/rendering/filters.long.test.ts',
    ],
  },
  'signal/lut': {
    mutate: ['signal/lut/*.ts'],
    tests: ['tests/signal/lut/*.test.ts', 'tests/signal/rendering/*.test.ts'],
  },
  'signal/pattern': {
    mutate: ['signal/pattern/*.ts'],
    tests: ['tests/signal/pattern/*.test.ts', 'tests/standards/bars.test.ts'],
  },
  'signal/timecode': {
    mutate: ['signal/timecode.ts', 'signal/rational.ts'],
    tests: [
      'tests/signal/{timecode,rational}.test.ts',
      'tests/standards/timecode.test.ts',
      'tests/planner/frame-rate.test.ts',
    ],
    without: 'label by label',
  },
  judge: { mutate: ['workers/judge/**/*.ts'], tests: ['tests/workers/judge/**/*.test.ts'] },
  'studies/flash': {
    mutate: ['workers/measure/picture/flash/*.ts'],
    tests: [
      'tests/workers/measure/picture/flash/{cell-light,flash-hd,flash-kernels,flash-motion,flash-study,swings}.test.ts',
      'tests/standards/flashes.test.ts',
    ],
  },
  'studies/temporal': {
    mutate: ['workers/measure/picture/temporal/*.ts'],
    tests: ['tests/workers/measure/picture/temporal/*.test.ts'],
  },
  'studies/fields': {
    mutate: ['workers/measure/picture/fields/*.ts'],
    tests: ['tests/workers/measure/picture/fields/*.test.ts'],
  },
  'studies/effective': {
    mutate: ['workers/measure/picture/effective/*.ts'],
    tests: ['tests/workers/measure/picture/effective/*.test.ts'],
  },
};
