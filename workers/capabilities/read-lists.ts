/**
 * Reads ffmpeg's lists of what it can do. Their columns changed between 5.1 and 9; only the flags used here
 * are named.
 */

/** `-encoders`: six flags, then the name. */
export function readEncoderNames(text: string): string[] {
  return matches(text, /^ [VAS][A-Z.]{5} (\S+) /gm).filter((name) => name !== '=');
}

/** `-filters`: two or three flags, the name, then the kinds of pads (`V->V`). */
export function readFilterNames(text: string): string[] {
  return matches(text, /^ [A-Z.]{2,3} +(\S+) +\S+->\S+ /gm);
}

/** `-muxers`: an `E` among at most three flags, then one name or several with commas. */
export function readMuxerNames(text: string): string[] {
  return matches(text, /^ ?[D. ]?E[d. ]{0,2} +(\S+) /gm)
    .filter((name) => name !== '=')
    .flatMap((names) => names.split(','));
}

/** `-h encoder=NAME`: pixel formats the encoder takes in; empty for sound. */
export function readPixelFormats(text: string): string[] {
  const line = /^\s*Supported pixel formats:(.*)$/m.exec(text)?.[1] ?? '';
  return line.trim().split(/\s+/).filter(Boolean);
}

/** `5.1.9-0+deb12u1` of `ffmpeg version 5.1.9-0+deb12u1 Copyright ...`. Null when it is no such line. */
export function readVersion(text: string): string | null {
  return /^ff(?:mpeg|probe) version (\S+)/.exec(text)?.[1] ?? null;
}

function matches(text: string, pattern: RegExp): string[] {
  return [...text.matchAll(pattern)].map((match) => match[1] ?? '');
}
