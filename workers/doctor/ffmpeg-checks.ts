import { PICTURE_CODECS } from '../../jobs/codecs/picture-codecs.js';
import { SOUND_CODECS } from '../../jobs/codecs/sound-codecs.js';
import { GoodgateError } from '../../jobs/errors.js';
import type { Capabilities } from '../../jobs/plan/capabilities.js';
import { type AskOptions, askCapabilities } from '../capabilities/ask-ffmpeg.js';
import { type Check, INSTALL, limited, no, yes } from './check.js';

const OLDEST: readonly [number, number] = [5, 1];
const NEWEST_TRIED = 9;

/** An encoder that targets can name. */
interface Encoder {
  readonly name: string;
  readonly makes: string;
  /** Pixel formats that plans hand it. */
  readonly takes: readonly string[];
}
const ENCODERS: readonly Encoder[] = [
  ...PICTURE_CODECS.map(({ encoder, title, usualFormats }) => ({
    name: encoder,
    makes: title,
    takes: usualFormats,
  })),
  ...SOUND_CODECS.map(({ name, title }) => ({ name, makes: `sound as ${title}`, takes: [] })),
];

/** In every filter chain. */
const NEEDED = ['format', 'fps', 'nullsink', 'setparams', 'setsar', 'showinfo', 'sidedata'];
/** In some, with what they are for. */
const FOR_SOME: readonly (readonly [string, string])[] = [
  ['zscale', 'changes of size, depth, range and colour'],
  ['lut1d', 'colour rendering'],
  ['lut3d', 'colour rendering and looks'],
  ['exposure', 'colour rendering'],
  ['bwdif', 'deinterlacing'],
  ['drawtext', 'burn-in'],
  ['pad', 'padding'],
  ['crop', 'cropping'],
  ['transpose', 'turned pictures'],
  ['pan', 'stereo from mono'],
];

/** Everything about ffmpeg. One check `ffmpeg` with `no` when it cannot even be started. */
export async function ffmpegChecks(options: AskOptions): Promise<Check[]> {
  let found: Capabilities;
  try {
    found = await askCapabilities(options);
  } catch (error) {
    if (!(error instanceof GoodgateError)) throw error;
    const name = /ffprobe/.test(error.what) ? 'ffprobe' : 'ffmpeg';
    return [
      no(name, error.where === undefined ? error.what : `${error.where}: ${error.what}`, INSTALL.ffmpeg),
    ];
  }
  return judgeFfmpeg(found);
}

/** What an ffmpeg with these abilities means for goodgate. Pure. */
export function judgeFfmpeg(found: Capabilities): Check[] {
  return [
    versionCheck('ffmpeg', found.ffmpegVersion),
    found.ffprobeVersion === found.ffmpegVersion
      ? versionCheck('ffprobe', found.ffprobeVersion)
      : limited(
          'ffprobe',
          `${found.ffprobeVersion}, while ffmpeg is ${found.ffmpegVersion}`,
          `make both come from one installation. ${INSTALL.ffmpeg}`,
        ),
    ...ENCODERS.map((encoder) => encoderCheck(encoder, found)),
    ...filterChecks(found),
    found.fontFile === null
      ? limited('font', 'none: no burn-in of clip name and timecode', INSTALL.font)
      : yes('font', found.fontFile),
  ];
}

function versionCheck(name: string, version: string): Check {
  const match = /^n?(\d+)\.(\d+)/.exec(version);
  if (match === null) {
    return limited(
      name,
      `${version}: a build without a release number, so nobody can tell whether it is tried`,
      INSTALL.ffmpeg,
    );
  }
  const [major, minor] = [Number(match[1]), Number(match[2])];
  if (major < OLDEST[0] || (major === OLDEST[0] && minor < OLDEST[1])) {
    return no(name, `${version}: older than ${OLDEST.join('.')}`, INSTALL.ffmpeg);
  }
  if (major > NEWEST_TRIED) {
    return limited(
      name,
      `${version}: newer than ${NEWEST_TRIED}, not tried`,
      `use ffmpeg 5.1 to ${NEWEST_TRIED} where it misbehaves`,
    );
  }
  return yes(name, version);
}

function encoderCheck({ name, makes, takes }: Encoder, found: Capabilities): Check {
  const label = `encoder ${name}`;
  const inputs = found.encoders[name];
  if (inputs === undefined) return limited(label, `missing: ${makes} cannot be made`, INSTALL.ffmpeg);
  const missing = takes.filter((format) => !inputs.includes(format));
  if (missing.length > 0) {
    return limited(
      label,
      `takes ${inputs.join(' ')}, not ${missing.join(' ')}`,
      `use an ffmpeg built for high bit depth. ${INSTALL.ffmpeg}`,
    );
  }
  return yes(label, takes.length === 0 ? makes : `${makes}; takes ${inputs.join(' ')}`);
}

function filterChecks(found: Capabilities): Check[] {
  const present = new Set(found.filters);
  const needed = NEEDED.filter((name) => !present.has(name));
  return [
    needed.length === 0
      ? yes('filters in every chain', NEEDED.join(' '))
      : no('filters in every chain', `missing: ${needed.join(' ')}`, INSTALL.ffmpeg),
    ...FOR_SOME.map(([name, use]) =>
      present.has(name)
        ? yes(`filter ${name}`, use)
        : limited(`filter ${name}`, `missing: no ${use}`, INSTALL.ffmpeg),
    ),
  ];
}
