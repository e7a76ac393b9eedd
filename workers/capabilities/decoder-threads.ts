import { askFfmpeg } from '../ffmpeg/run-ffmpeg.js';

/**
 * Whether ffmpeg's decoder of this name works on one thread whatever the machine has; null where it does not say. Throws GoodgateError
 * `missing-tool` when ffmpeg cannot be started.
 */
export async function decodesOnOneThread(codec: string, ffmpegPath?: string): Promise<boolean | null> {
  return readThreading(await askFfmpeg(['-h', `decoder=${codec}`], ffmpegPath));
}

/** `-h decoder=NAME`: a line for each decoder of that name; the first is the one ffmpeg takes. */
export function readThreading(text: string): boolean | null {
  const threading = /^ *Threading capabilities: *(.+)$/m.exec(text)?.[1]?.trim();
  return threading === undefined ? null : threading === 'none';
}
