import { execa } from 'execa';

/** What a file of the sweep was made to be. */
export interface Made {
  readonly name: string;
  readonly args: readonly string[];
  /** Frames a second of the picture that was encoded; null for sound. */
  readonly rate: string | null;
  /** Sample aspect it was encoded with, where the container has room for one. */
  readonly aspect: string | null;
  /** Primaries, transfer, matrix and range the encoder was given; null where none. */
  readonly colour: MadeColour | null;
}

export type MadeColour = readonly [primaries: string, transfer: string, matrix: string, range: string];

/** Encoders ffmpeg lists that write what is no clip, or need a machine that is not there. */
const NOT_CLIPS =
  /_(?:v4l2m2m|vaapi|qsv|nvenc|omx)$|^(?:a64multi5?|wrapped_avframe|librav1e|xface|comfortnoise|fits|pcm_bluray|pcm_dvd|pcm_vidc)$/;
const VIDEO_CONTAINERS = [
  'mov',
  'mp4',
  'mkv',
  'mxf',
  'avi',
  'ts',
  'mpg',
  'flv',
  'ogv',
  'webm',
  'asf',
  'nut',
  'gxf',
  'dv',
  '3gp',
];
const SOUND_CONTAINERS = [
  'mov',
  'mp4',
  'mka',
  'wav',
  'ts',
  'mxf',
  'avi',
  'ogg',
  'flac',
  'ac3',
  'eac3',
  'aac',
  'mp3',
  'mp2',
  'aiff',
  'caf',
  'w64',
  'au',
  'tta',
  'wv',
];
/** Rates, sizes and shapes are handed out in turn, so that each meets many encoders. */
const RATES = ['25', '24000/1001', '30000/1001', '50', '12', '24', '60000/1001', '15', '120', '100/3'];
const SIZES = ['64x48', '96x64', '176x144', '130x98', '352x288'];
const ASPECTS = ['1/1', '4/3', '16/11', '3/4'];
/** Primaries, transfer, matrix and range; none of them now and then. */
const COLOURS: readonly (MadeColour | null)[] = [
  ['bt709', 'bt709', 'bt709', 'tv'],
  null,
  ['bt2020', 'smpte2084', 'bt2020nc', 'tv'],
  ['smpte170m', 'smpte170m', 'smpte170m', 'pc'],
  ['bt470bg', 'bt709', 'bt470bg', 'tv'],
  ['bt2020', 'arib-std-b67', 'bt2020nc', 'tv'],
];
const LAYOUTS = ['stereo', 'mono', '5.1', 'quad', '2.1'];
const SOUND_RATES = ['48000', '44100', '32000', '96000'];
/** Sizes some encoders insist on. */
const OWN_SIZES: Readonly<Record<string, string>> = {
  ...{
    dvvideo: '720x576',
    h261: '176x144',
    h263: '176x144',
    rv10: '176x144',
    rv20: '176x144',
    dnxhd: '1920x1080',
  },
  ...{ roqvideo: '256x128', amv: '160x120', svq1: '176x144', hap: '64x48', cfhd: '96x64' },
};
const OWN_OPTIONS: Readonly<Record<string, readonly string[]>> = {
  dnxhd: ['-profile:v', 'dnxhr_hq', '-pix_fmt', 'yuv422p', '-s', '256x128'],
  libx265: ['-x265-params', 'log-level=none'],
  'libaom-av1': ['-cpu-used', '8'],
  dvvideo: ['-pix_fmt', 'yuv420p'],
};
/** Rates some encoders insist on. */
const OWN_RATES: Readonly<Record<string, string>> = {
  ...{ dvvideo: '25', h261: '30000/1001', h263: '30000/1001', roqvideo: '30', mpeg1video: '25', amv: '25' },
  mpeg2video: '25',
};

export async function encodersOf(kind: 'V' | 'A'): Promise<string[]> {
  const { stdout } = await execa('ffmpeg', ['-hide_banner', '-encoders']);
  const names = stdout
    .split('\n')
    .flatMap((line) => new RegExp(`^ ${kind}\\S* +(\\S+)`).exec(line)?.[1] ?? []);
  return names.filter((name) => name !== '=' && !NOT_CLIPS.test(name));
}

/** Three containers of each encoder's, tried in an order that shifts, so that all are met. */
export async function sweepOf(kind: 'V' | 'A'): Promise<Made[]> {
  const encoders = await encodersOf(kind);
  return encoders.flatMap((encoder, i) => (kind === 'V' ? picturesOf(encoder, i) : soundsOf(encoder, i)));
}

function picturesOf(encoder: string, turn: number): Made[] {
  return VIDEO_CONTAINERS.map((container, j) => {
    const rate = OWN_RATES[encoder] ?? turned(RATES, turn + j);
    const size = OWN_SIZES[encoder] ?? turned(SIZES, turn + j);
    const aspect = turned(ASPECTS, turn + j);
    const source = `testsrc2=s=${size}:r=${rate}`;
    const colour = turned(COLOURS, turn + 5 * j);
    const [primaries, transfer, matrix, range] = colour ?? ['', '', '', ''];
    return {
      name: `${encoder}.${container}`,
      rate,
      aspect,
      colour,
      args: [
        ...['-f', 'lavfi', '-i', source, '-frames:v', '17', '-vf', `setsar=${aspect}`],
        ...['-c:v', encoder, '-strict', '-2', ...(OWN_OPTIONS[encoder] ?? [])],
        ...(colour === null
          ? []
          : [
              '-color_primaries',
              primaries,
              '-color_trc',
              transfer,
              '-colorspace',
              matrix,
              '-color_range',
              range,
            ]),
      ],
    };
  });
}

/** Streams without a container: another codec in them is no file of any kind. */
const RAW: Readonly<Record<string, RegExp>> = {
  ...{ ac3: /^ac3/, eac3: /^eac3$/, aac: /^aac$/, mp3: /^libmp3lame$/, mp2: /^(?:mp2|libtwolame)/ },
};

function soundsOf(encoder: string, turn: number): Made[] {
  const containers = SOUND_CONTAINERS.filter((container) => RAW[container]?.test(encoder) ?? true);
  return containers.map((container, j) => {
    const layout = turned(LAYOUTS, turn + j);
    const source = `aevalsrc=0.3*sin(2*PI*997*t)+0.1*random(0):s=${turned(SOUND_RATES, turn + j)}:d=0.7`;
    return {
      name: `${encoder} sound.${container}`,
      rate: null,
      aspect: null,
      colour: null,
      args: [
        ...['-f', 'lavfi', '-i', `${source},aformat=channel_layouts=${layout}`],
        ...['-c:a', encoder, '-strict', '-2'],
      ],
    };
  });
}

function turned<T>(list: readonly T[], turn: number): T {
  const found = list[turn % list.length];
  if (found === undefined) throw new Error('an empty list');
  return found;
}
