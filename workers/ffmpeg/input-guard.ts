import { resolve } from 'node:path';

/**
 * Formats a clip may have. Playlists and scripts that make ffmpeg open other files (hls, dash, concat, sdp
 * and the like) are not among them, so that a playlist disguised as a clip cannot read other files.
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
  // Never detected in a file; only used where the caller names them.
  ...['lavfi', 'rawvideo', 's16le', 's24le', 's32le', 'f32le', 'f64le'],
];

/**
 * Limits what ffmpeg and ffprobe may open for a file of unknown origin: that file and pipes, in formats of
 * clips. No network, no other protocol. Placed before every input.
 */
export const INPUT_GUARD = [
  '-protocol_whitelist',
  'file,pipe',
  '-format_whitelist',
  FORMATS.join(','),
] as const;

/** Still pictures that ffmpeg would read as a numbered sequence when their name has a `%`. */
const NUMBERED = /%[^/]*\.(png|jpe?g|tiff?|dpx|exr|bmp|webp|tga|sgi|ppm|pgm|pbm|pam|j2k|jp2|psd)$/i;

/**
 * `INPUT_GUARD`, and for a still picture with `%` in its name options to read it as one picture.
 */
export function guardFor(path: string): string[] {
  return NUMBERED.test(path) ? [...INPUT_GUARD, '-f', 'image2', '-pattern_type', 'none'] : [...INPUT_GUARD];
}

/**
 * A path for ffmpeg: absolute and after `file:`, so that no character of it is special.
 */
export function fileUrl(path: string): string {
  return `file:${resolve(path)}`;
}
