import { resolve } from 'node:path';

/**
 * Containers and elementary streams a clip may be. Playlists and scripts that make ffmpeg open further files
 * (hls, dash, concat, sdp and the like) are not among them: a playlist dressed as a clip cannot read
 * elsewhere.
 */
const FORMATS = [
  ...[
    'mov',
    'matroska',
    'mxf',
    'avi',
    'mpegts',
    'mpeg',
    'asf',
    'flv',
    'gxf',
    'nut',
    'dv',
    'ogg',
    'cine',
    'r3d',
    'rm',
  ],
  ...['wav', 'w64', 'aiff', 'caf', 'flac', 'mp3', 'aac', 'ac3', 'eac3', 'dts', 'au'],
  ...[
    'h264',
    'hevc',
    'vvc',
    'av1',
    'obu',
    'ivf',
    'm4v',
    'mpegvideo',
    'mjpeg',
    'dnxhd',
    'yuv4mpegpipe',
    'h263',
    'vc1',
  ],
  ...[
    'image2',
    'png_pipe',
    'jpeg_pipe',
    'tiff_pipe',
    'dpx_pipe',
    'exr_pipe',
    'bmp_pipe',
    'webp_pipe',
    'j2k_pipe',
  ],
  ...['sgi_pipe', 'ppm_pipe', 'pgm_pipe', 'psd_pipe', 'gif', 'gif_pipe', 'jpegxl_pipe'],
  // Never recognised in a file; only where the caller names them.
  ...['lavfi', 'rawvideo', 's16le', 's24le', 's32le', 'f32le', 'f64le'],
];

/**
 * What ffmpeg and ffprobe may open for a file of unknown origin: that file and pipes, in a format that is a
 * clip's. No network, no other protocol. Goes before every input.
 */
export const INPUT_GUARD = [
  '-protocol_whitelist',
  'file,pipe',
  '-format_whitelist',
  FORMATS.join(','),
] as const;

/** Pictures ffmpeg takes for a numbered sequence when there is a `%` in the name. */
const NUMBERED = /%[^/]*\.(png|jpe?g|tiff?|dpx|exr|bmp|webp|tga|sgi|ppm|pgm|pbm|pam|j2k|jp2|psd)$/i;

/**
 * `INPUT_GUARD`, and for a still picture with `%` in its name the word that it is one picture and no
 * sequence.
 */
export function guardFor(path: string): string[] {
  return NUMBERED.test(path) ? [...INPUT_GUARD, '-f', 'image2', '-pattern_type', 'none'] : [...INPUT_GUARD];
}

/**
 * A path as ffmpeg must be given it: absolute and behind `file:`, so that no character of it means anything.
 */
export function fileUrl(path: string): string {
  return `file:${resolve(path)}`;
}
