/** One way to call an encoder. */
export interface EncoderWay {
  readonly name: string;
  readonly options: readonly string[];
}

/** Ways to call one encoder, the first the one the others are held against. */
export interface EncoderStudy {
  readonly encoder: string;
  readonly pixelFormat: string;
  readonly depth: 8 | 10 | 12;
  readonly container: 'mkv' | 'mov';
  /**
   * Constant quality (CRF) of the first way; the others are tried a step below and above. Null: they have
   * none.
   */
  readonly crf: number | null;
  readonly ways: readonly EncoderWay[];
}

const x264 = (name: string, ...more: readonly string[]): EncoderWay => ({
  name: [name, ...more.map((option) => option.replace(/^-/, ''))].join(' '),
  options: ['-c:v', 'libx264', '-preset', name, ...more],
});

const x265 = (name: string): EncoderWay => ({
  name,
  options: ['-c:v', 'libx265', '-preset', name, '-x265-params', 'log-level=error'],
});

/** Above 8 bits ffmpeg codes with the range coder, whatever is asked for. */
const ffv1 = (context: number, slices: number): EncoderWay => ({
  name: `context ${context}, ${slices} slices`,
  options: [
    ...['-c:v', 'ffv1', '-level', '3', '-coder', '1', '-context', String(context)],
    ...['-g', '1', '-slices', String(slices), '-slicecrc', '1'],
  ],
});

const cineform = (quality: string): EncoderWay => ({
  name: quality,
  options: ['-c:v', 'cfhd', '-quality', quality],
});

const prores = (name: string, ...more: readonly string[]): EncoderWay => ({
  name,
  options: ['-c:v', 'prores_ks', '-profile:v', 'hq', ...more],
});

export const ENCODER_STUDIES: readonly EncoderStudy[] = [
  {
    ...{ encoder: 'H.264', pixelFormat: 'yuv420p', depth: 8, container: 'mkv', crf: 23 },
    ways: [
      x264('medium'),
      x264('medium', '-trellis', '0'),
      x264('fast'),
      x264('faster'),
      x264('faster', '-trellis', '0'),
      x264('veryfast'),
      x264('superfast'),
    ],
  },
  {
    ...{ encoder: 'HEVC', pixelFormat: 'yuv420p10le', depth: 10, container: 'mkv', crf: 20 },
    ways: [x265('medium'), x265('fast'), x265('faster'), x265('veryfast'), x265('superfast')],
  },
  {
    ...{ encoder: 'FFV1', pixelFormat: 'yuv422p10le', depth: 10, container: 'mkv', crf: null },
    ways: [ffv1(1, 16), ffv1(1, 4), ffv1(1, 24), ffv1(0, 16), ffv1(0, 4), ffv1(0, 24)],
  },
  {
    ...{ encoder: 'CineForm', pixelFormat: 'gbrp12le', depth: 12, container: 'mov', crf: null },
    ways: ['film3+', 'film3', 'film2', 'film1', 'high', 'medium', 'low'].map(cineform),
  },
  {
    ...{ encoder: 'ProRes', pixelFormat: 'yuv422p10le', depth: 10, container: 'mov', crf: null },
    ways: [
      prores("the encoder's own rate"),
      ...[2, 6, 12, 24].map((quantiser) => prores(`quantiser ${quantiser}`, '-q:v', String(quantiser))),
    ],
  },
];

/** Sound: ways to call AAC at the rate of proxies. */
export const AAC_WAYS: readonly EncoderWay[] = [
  { name: 'twoloop', options: ['-c:a', 'aac', '-b:a', '160k', '-aac_coder', 'twoloop'] },
  { name: 'fast', options: ['-c:a', 'aac', '-b:a', '160k', '-aac_coder', 'fast'] },
];

const FRACTAL = 'mandelbrot=s=960x540:r=25:start_scale=0.4:end_scale=0.02:end_pts=60:maxiter=500';

/** Pictures of several kinds, as graphs of generators. */
export const STUDY_PICTURES = [
  {
    name: 'grain',
    graph: `${FRACTAL},scale=out_range=limited,format=yuv444p10le,eq=contrast=0.6,noise=alls=8:allf=t:all_seed=1`,
  },
  { name: 'clean', graph: `${FRACTAL},scale=out_range=limited,format=yuv444p10le` },
  {
    name: 'text and charts, scrolling',
    graph: 'testsrc2=s=960x540:r=25,scroll=vertical=0.004,scale=out_range=limited,format=yuv444p10le',
  },
  {
    name: 'dark, a little grain',
    graph: `${FRACTAL},scale=out_range=limited,format=yuv444p10le,eq=contrast=0.15:brightness=-0.38,noise=alls=3:allf=t:all_seed=2`,
  },
] as const;
