import { queryFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../ffmpeg/tools.js';

/**
 * What this process has asked, by program and codec. An ffmpeg changed meanwhile makes nothing but speed
 * wrong.
 */
const asked = new Map<string, Promise<boolean | null>>();

/**
 * Whether ffmpeg's decoder of this name works on one thread whatever the machine has; null where it does not
 * say. Asked once in the life of a process. Throws GoodgateError `missing-tool` when ffmpeg cannot be
 * started.
 */
export function decodesOnOneThread(codec: string, tools?: Tools): Promise<boolean | null> {
  const name = JSON.stringify([tools?.ffmpeg ?? null, codec]);
  const known = asked.get(name);
  if (known) return known;
  const answer = queryFfmpeg(['-h', `decoder=${codec}`], tools).then(readThreading);
  asked.set(name, answer);
  // Who has no answer asks again.
  answer.catch(() => asked.delete(name));
  return answer;
}

/** `-h decoder=NAME`: a line for each decoder of that name; the first is the one ffmpeg takes. */
export function readThreading(text: string): boolean | null {
  const threading = /^ *Threading capabilities: *(.+)$/m.exec(text)?.[1]?.trim();
  return threading === undefined ? null : threading === 'none';
}
